"""The example instruments of a village library that lends them."""
