#!/usr/bin/env bash
# Mutants of geometry/: change a line at a time, and find whether a test fails.
#
#   tests/bench/mutants.sh                        all of them, or the rest of a run that was stopped (half an hour on two cores)
#   tests/bench/mutants.sh 'geometry.rim*'        those of a module, once more
#   MUTANTS=all tests/bench/mutants.sh NAME …     some of them by the slow tests too
#
# Needs mutmut in .venv (.venv/bin/pip install mutmut). Its settings are in pyproject.toml, its results go to mutants/.
set -euo pipefail
cd "$(dirname "$0")/../.."
export PYTHONPATH="$PWD/tests/bench" OPENBLAS_NUM_THREADS=1
exec nice -n 15 .venv/bin/mutmut run "$@"
