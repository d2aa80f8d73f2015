"""The life of a report, one function for each thing that happens to it: sent for review, returned, issued,
opened again for a correction. Each raises ValidationError, in words for the person, when it may not be."""
