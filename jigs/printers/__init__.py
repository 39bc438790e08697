"""Printers: their errors from a measured sheet, the files that keep them, drawings corrected for them."""
