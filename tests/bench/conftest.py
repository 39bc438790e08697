"""Nothing here is a test. A file that needs mutmut is not collected."""

collect_ignore = ["mutants_outside.py"]
