"""Logs from displays, loggers, receivers and phones, as one kind of record in SI units."""
