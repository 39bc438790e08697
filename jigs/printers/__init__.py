"""Printers: their errors from a measured sheet, their profiles, drawings corrected for them."""
