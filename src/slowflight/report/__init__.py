"""What was saved, put before the owner on one page. Renders saved results, computes nothing."""
