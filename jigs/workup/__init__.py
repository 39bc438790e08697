"""Every number of an instrument, and the words for them."""
