"""Nothing here is a test. A file that needs mutmut, or what Windows lacks, is not collected."""

import os

collect_ignore = ["mutants_outside.py", *([] if hasattr(os, "fork") else ["ear_cost.py"])]
