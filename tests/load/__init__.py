"""Many people at once on a served site; ``make load``."""
