"""An order laid out on sheets and written, in every format."""
