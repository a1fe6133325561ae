"""An invented aircraft that flies the cards and writes logs whose truth is known."""
