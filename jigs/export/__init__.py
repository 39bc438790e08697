"""Sheets to bytes, a module for each format. They know drawings, no instrument."""
