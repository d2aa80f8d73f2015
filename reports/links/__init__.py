"""A client reads one issued record by a link, without a sign-in."""
