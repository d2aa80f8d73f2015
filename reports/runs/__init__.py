"""Many reports at once: issued, or made again and exported, by a worker beside the site."""
