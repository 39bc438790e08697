"""Sheets to bytes, a module for each format. It knows no instrument."""
