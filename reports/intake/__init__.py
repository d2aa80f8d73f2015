"""A report that another firm issued, opened here: read from its PDF, shown, and brought into the record."""
