"""The flights, which decide: logs, airspeed, stalls, what the difference is and what it allows."""
