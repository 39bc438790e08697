"""The packages that users install: wheel and source package are complete, and run in an empty environment on each Python.

Libraries come from the package index, in the versions that drew the examples.
"""

import email
import os
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest
from samples import ROOT
from served import serving

pytestmark = pytest.mark.slow

PACKAGES = ("geometry", "jigs")
DATA = (
    "guide/*.md",
    "instrument/presets/*.toml",
    "demo/*.toml",
    "demo/*.csv",
    "demo/readings/*.csv",
    "drawing/fonts/DejaVuSans.ttf",
)
STATIC = ("html", "css", "js")
LICENCES = ("LICENSE", "jigs/drawing/fonts/LICENSE-DejaVuSans.txt")
TOP = (
    *(".ci", "geometry", "jigs", "out_examples", "tests"),
    *(".gitignore", "DEVELOPERS.md", "LICENSE", "README.md", "pyproject.toml"),
)
LITTER = (
    ".git/config",
    ".hypothesis/x",
    ".mypy_cache/x",
    ".venv/lib/python3.11/site-packages/jigs/extra.py",
    "dist/old.whl",
    "geometry/__pycache__/arrays.cpython-311.pyc",
    "jigs/__pycache__/press.cpython-311.pyc",
    "rack/rack.csv",
    "tests/__pycache__/samples.cpython-311.pyc",
)
"""Files of a working folder that must not get into a package."""

PYTHONS = ("3.11", "3.12", "3.13", "3.14")
OWN = f"{sys.version_info[0]}.{sys.version_info[1]}"


def plainly(**more):
    """Environment variables without those that point into this folder."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "PYTEST", "JIGS"))}
    return {**kept, "PYTHONDONTWRITEBYTECODE": "1", **more}


def ran(*command, folder, **environment):
    """Run a command that must succeed; its standard output."""
    done = subprocess.run(
        [str(part) for part in command],
        cwd=folder,
        env=plainly(**environment),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}"
    return done.stdout


def sources(folder):
    """The files of this project, without caches."""
    found = {Path(name) for name in TOP if (folder / name).is_file()}
    for name in TOP:
        found |= {path.relative_to(folder) for path in (folder / name).rglob("*") if path.is_file()}
    return {path for path in found if not any("cache" in part for part in path.parts)}


def built(folder, *options, clock="1700000000"):
    """Build the packages in a copy of this folder: their paths, by suffix."""
    out = folder / "dist-new"
    ran(
        sys.executable,
        "-m",
        "build",
        "--no-isolation",
        "--outdir",
        out,
        *options,
        folder=folder,
        SOURCE_DATE_EPOCH=clock,
    )
    return {path.suffix: path for path in out.iterdir()}


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    """A copy of this folder, with the litter of one in use."""
    folder = tmp_path_factory.mktemp("workshop") / "here"
    for path in sources(ROOT):
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / path, folder / path)
    for name in LITTER:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text("litter\n")
    return folder


@pytest.fixture(scope="module")
def packages(workshop):
    """The source package, and the wheel that was built from it."""
    return built(workshop)


def version():
    return re.search(r'^__version__ = "(.+)"$', (ROOT / "jigs" / "__init__.py").read_text(), re.MULTILINE)[1]


def project():
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def members(path):
    """Contents by name. There must be no folders or links."""
    if path.suffix == ".whl":
        with zipfile.ZipFile(path) as archive:
            return {info.filename: archive.read(info) for info in archive.infolist()}
    with tarfile.open(path) as archive:
        assert all(member.isfile() for member in archive.getmembers())
        return {member.name: archive.extractfile(member).read() for member in archive.getmembers()}


def program():
    """Every file of the program, by rule."""
    found = {path for name in PACKAGES for path in (ROOT / name).rglob("*.py")}
    found |= {ROOT / name / "py.typed" for name in PACKAGES}
    found |= {path for pattern in DATA for path in (ROOT / "jigs").glob(pattern)}
    found |= {path for suffix in STATIC for path in (ROOT / "jigs" / "page" / "static").glob(f"*.{suffix}")}
    found |= set((ROOT / "jigs" / "page" / "views").glob("*.html"))
    found |= {ROOT / name for name in LICENCES if "/" in name}
    return {path.relative_to(ROOT).as_posix(): path.read_bytes() for path in found}


def test_wheel_holds_the_program_and_nothing_else(packages):
    found, wanted = members(packages[".whl"]), program()
    about = f"bridge_jigs-{version()}.dist-info"
    extra = {name for name in found if name.startswith(about)}
    assert extra == {
        *(f"{about}/{name}" for name in ("METADATA", "RECORD", "WHEEL", "entry_points.txt")),
        *(f"{about}/licenses/{name}" for name in LICENCES),
    }
    assert found.keys() - extra == wanted.keys()
    assert [name for name, content in wanted.items() if found[name] != content] == []
    for name in LICENCES:
        assert found[f"{about}/licenses/{name}"] == (ROOT / name).read_bytes()


def test_source_package_is_a_clean_checkout(packages):
    top = f"bridge_jigs-{version()}"
    found = members(packages[".gz"])
    assert all(name.startswith(f"{top}/") for name in found)
    found = {name.removeprefix(f"{top}/"): content for name, content in found.items()}
    wanted = {path.as_posix() for path in sources(ROOT)}
    assert found.keys() == wanted | {"PKG-INFO"}, found.keys() ^ wanted
    assert [name for name in wanted if found[name] != (ROOT / name).read_bytes()] == []


def test_every_file_under_version_control_is_in_the_source_package():
    if not (ROOT / ".git").exists():
        pytest.skip("this folder is not a git checkout")
    listed = ran("git", "ls-files", folder=ROOT).splitlines()
    assert {name.split("/")[0] for name in listed} == set(TOP)
    assert set(listed) <= {path.as_posix() for path in sources(ROOT)}


def test_same_source_makes_the_same_packages(packages, workshop, tmp_path):
    again = tmp_path / "somewhere-else"
    shutil.copytree(workshop, again, ignore=shutil.ignore_patterns("dist-new"))
    for path in again.rglob("*.py"):
        os.utime(path, (1, 1))
    for suffix, path in built(again).items():
        assert path.read_bytes() == packages[suffix].read_bytes(), path.name
    straight = built(again, "--wheel")[".whl"]
    assert straight.read_bytes() == packages[".whl"].read_bytes(), "the source package gives a different wheel"


def test_package_shows_its_version_readme_and_licences(packages):
    about = email.message_from_bytes(members(packages[".whl"])[f"bridge_jigs-{version()}.dist-info/METADATA"])
    assert about["Version"] == version()
    assert about.get_payload(decode=True).decode() == (ROOT / "README.md").read_text(encoding="utf-8")
    assert about.get_all("License-File") == list(LICENCES)
    assert "Typing :: Typed" in about.get_all("Classifier")
    needed = [line for line in about.get_all("Requires-Dist") if "extra ==" not in line]
    assert len(needed) == len(project()["dependencies"])


def interpreters():
    """A Python for each version that this machine has."""
    found = {}
    pyenv = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    for number in PYTHONS:
        named = shutil.which(f"python{number}", path="/usr/bin:/usr/local/bin:/opt/homebrew/bin")
        kept = [*sorted(pyenv.glob(f"{number}.*/bin/python")), *([Path(named)] if named else [])]
        if kept:
            found[number] = kept[0]
    return {OWN: Path(sys.executable), **found}


def empty_environment(python, folder):
    """A virtual environment with nothing in it; its Python."""
    ran(python, "-m", "venv", "--without-pip", folder, folder=folder.parent)
    return folder / "bin" / "python"


def installed(wheel, python):
    """Install a wheel and what it needs."""
    pins = ROOT / ".ci" / "constraints.txt"
    ran(
        *(sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--disable-pip-version-check"),
        *("-c", pins, wheel),
        folder=python.parent,
    )


@pytest.fixture(params=PYTHONS)
def place(request, packages, tmp_path_factory):
    """An environment with the wheel and what it needs, for one version of Python."""
    python = interpreters().get(request.param)
    if python is None:
        pytest.skip(f"there is no Python {request.param} here")
    folder = tmp_path_factory.mktemp(f"python-{request.param}")
    inside = empty_environment(python, folder / "env")
    installed(packages[".whl"], inside)
    version_and_place = ran(inside, "-c", "import sys, jigs; print(sys.version_info[:2], jigs.__file__)", folder=folder)
    number = tuple(int(part) for part in request.param.split("."))
    assert version_and_place.startswith(str(number)), version_and_place
    assert str(folder / "env") in version_and_place, version_and_place
    return folder


def test_installed_program_draws_and_serves(place):
    jigs, python = place / "env" / "bin" / "jigs", place / "env" / "bin" / "python"
    listed = "from importlib.metadata import distributions; print(*(one.name.lower() for one in distributions()))"
    for_tests = {re.split("[<>=]", need)[0].lower() for need in project()["optional-dependencies"]["test"]}
    for_tests.discard("pillow")  # reportlab brings it
    assert for_tests & set(ran(python, "-c", listed, folder=place).split()) == set()

    for command in ((jigs,), (python, "-m", "jigs")):
        assert ran(*command, "--version", folder=place).strip() == f"jigs, version {version()}"

    ran(jigs, "demo", "--out", "examples", folder=place)
    examples = {path.name: path.read_bytes() for path in (place / "examples").iterdir()}
    wanted = {path.name: path.read_bytes() for path in (ROOT / "out_examples").iterdir()}
    assert examples.keys() == wanted.keys()
    assert [name for name, content in wanted.items() if examples[name] != content] == []

    ran(jigs, "draw", "banjo", "--all", "--paper", "a3", "--out", "drawn", folder=place)
    drawn = {path.name for path in (place / "drawn").iterdir()}
    assert {"banjo-fork.pdf", "banjo-gauge.svg", "banjo-setup-card.pdf"} <= drawn

    ran(jigs, "rack", "examples", "--out", "rack", "--jobs", "2", folder=place)
    assert (place / "rack" / "rack-index.pdf").read_bytes().startswith(b"%PDF")

    with serving(place, "--port", "0", python=str(python), PYTHONPATH="") as page:
        reply = page.ask("GET", "/")
        assert reply.status == 200
        assert reply.kind.startswith("text/html")
        assert page.drawn()["sheets"]
    assert page.process.returncode == 0, page.printed


CONSUMER = """
from geometry.frets import equal_steps_mm
from jigs.instrument.opening import open_instrument
from jigs.workup.work_up import work_up
from jigs.workup.workup import Workup


def scale(name: str) -> float:
    workup: Workup = work_up(open_instrument(name))
    return workup.scale_mm


print(equal_steps_mm(scale("banjo"), 12).max())
"""


def checked(script, place):
    """What mypy finds in a script, with the environment's packages."""
    (place / "consumer.py").write_text(script)
    done = subprocess.run(
        [
            *(sys.executable, "-m", "mypy", "--strict", "--config-file=", "--no-error-summary"),
            *("--cache-dir", place / "mypy-cache", "--python-executable", place / "env" / "bin" / "python"),
            "consumer.py",
        ],
        cwd=place,
        env=plainly(),
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout + done.stderr


@pytest.mark.parametrize("place", [OWN], indirect=True)
def test_installed_program_brings_its_types(place):
    assert checked(CONSUMER, place) == ""
    ran(place / "env" / "bin" / "python", "consumer.py", folder=place)
    assert '"Workup" has no attribute "scale_inch"' in checked(CONSUMER.replace("scale_mm", "scale_inch"), place)
