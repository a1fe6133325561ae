"""One file per picture; every picture comes back as a data URI with its own description in words."""
