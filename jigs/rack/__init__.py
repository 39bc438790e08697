"""Many instruments in one run."""
