"""True airspeed and wind from ground speeds, and what the panel reads beside them."""
