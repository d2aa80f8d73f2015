"""Our speeds beside their floors, in the same run: only the ratios carry from one machine to another."""
