"""Nothing here is a test; what wants mutmut is not even read."""

collect_ignore = ["mutants_outside.py"]
