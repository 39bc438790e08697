"""The page's form: its fields, and what was filled in as an instrument file's text."""
