"""The program asks for nothing that only one system has, or asks first; it starts every process in the same way."""

import ast
import re
import tomllib

from sources import ROOT

ONLY_POSIX = ("fcntl", "grp", "posix", "pty", "pwd", "readline", "resource", "syslog", "termios", "tty")
"""Modules of Python's library that its documentation gives as "Availability: Unix"."""

EXPECTED = {("jigs/cli/new.py", "readline"), ("jigs/system/locks.py", "fcntl")}
NEVER = re.compile(r"\.(fork|forkpty|mkfifo|mknod|symlink|symlink_to|link_to|hardlink_to)\(")
TEXTS = re.compile(r"(?<![.\w])open\(|io\.open\(|(read|write)_text\(")
STARTS = ("Process", "Pool", "ProcessPoolExecutor", "ThreadPoolExecutor", "Manager", "set_start_method", "get_context")


def modules():
    """The text of each module, by its name."""
    for room in ("jigs", "geometry"):
        for path in sorted((ROOT / room).rglob("*.py")):
            yield path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8")


def trees_with(sought):
    """The syntax trees of the modules in which this is found, by their names."""
    return [(name, ast.parse(text)) for name, text in modules() if sought.search(text)]


def word(*words):
    return re.compile(rf"\b({'|'.join(words)})\b")


def imported(tree):
    """The modules that are imported, each with whether it may be lacking."""
    may_lack = set()
    for node in ast.walk(tree):
        about = [one.type for one in node.handlers] if isinstance(node, ast.Try) else []
        about += [one.context_expr for one in node.items] if isinstance(node, ast.With) else []
        if any(one is not None and "ImportError" in ast.unparse(one) for one in about):
            may_lack |= set(ast.walk(node))
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name.partition(".")[0], node in may_lack) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield (node.module or "").partition(".")[0], node in may_lack


def test_module_that_windows_lacks_is_imported_only_where_its_lack_is_expected():
    found = {
        (name, *one) for name, tree in trees_with(word(*ONLY_POSIX)) for one in imported(tree) if one[0] in ONLY_POSIX
    }
    assert found == {(*one, True) for one in EXPECTED}


def test_no_link_and_no_fork_is_needed():
    assert not [name for name, text in modules() if NEVER.search(text)]


def test_every_process_is_spawned():
    """Windows can do nothing else, and a fork of a process with threads may hang on any system."""
    starts = {}
    for name, tree in trees_with(word(*STARTS)):
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and ast.unparse(node.func).rpartition(".")[2] in STARTS:
                starts.setdefault(name, set()).add(
                    re.sub(r"(?<!get_context)\(.*", "(", ast.unparse(node), flags=re.DOTALL)
                )
    assert set(starts) == {"jigs/page/processes.py", "jigs/system/workers.py"}
    spawned = "multiprocessing.get_context('spawn')"
    assert starts["jigs/page/processes.py"] == {spawned, "context.Process("}
    assert starts["jigs/system/workers.py"] == {spawned, "ProcessPoolExecutor("}
    pools = [
        node
        for _, tree in trees_with(word("ProcessPoolExecutor"))
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
    ]
    pools = [ast.unparse(node) for node in pools if ast.unparse(node.func) == "ProcessPoolExecutor"]
    assert all(spawned in pool for pool in pools)


def test_text_is_read_and_written_in_utf_8_whatever_the_system_prefers():
    for name, tree in trees_with(TEXTS):
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and re.fullmatch(
                r"open|io\.open|.*\.(read|write)_text", ast.unparse(node.func)
            ):
                assert any(one.arg == "encoding" for one in node.keywords), (name, ast.unparse(node))


def test_package_claims_only_the_system_on_which_it_was_tried():
    listed = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["classifiers"]
    assert [one for one in listed if one.startswith("Operating System")] == ["Operating System :: POSIX :: Linux"]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "tried on Linux. For macOS and Windows it is prepared, but not yet tried." in readme
