"""Nothing here is a test. A file that needs mutmut, or what Windows lacks, is not collected."""

import os

_NEED_MUTMUT = ["mutants_outside.py", "mutants_sample.py", "mutant_kinds.py"]
collect_ignore = [*_NEED_MUTMUT, *([] if hasattr(os, "fork") else ["ear_cost.py"])]
