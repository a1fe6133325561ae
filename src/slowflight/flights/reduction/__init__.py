"""From the flights of the book to calibration, stalls and the decision."""
