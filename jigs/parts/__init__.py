"""Drawings that several templates share. They know the page, no instrument."""
