"""The sample instruments of an invented village library."""
