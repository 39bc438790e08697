"""Readings at the bench to advice, log and pictures."""
