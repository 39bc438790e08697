"""Ten thousand files as anybody might write them: each gives whole output, or a sentence that says what is wrong.

The seed of a failure is in the test's name. ``JIGS_SEED`` moves all seeds.
"""

import io
import json
import os
import re
from xml.etree import ElementTree

import ezdxf
import pypdf
import pytest
from hostile import FILES, commands
from hypothesis import HealthCheck, Phase, given, seed, settings
from in_time import no_longer_than
from samples import run
from share import share

FIRST_SEED = int(os.environ.get("JIGS_SEED", "0"))
SEEDS, EACH, LEAST_WHOLE = share(80), 125, 20
LONGEST_S = 2.0
NO_NUMBER = re.compile(rb"(?<![A-Za-z])[-+]?(nan|inf(inity)?)(?![A-Za-z])", re.IGNORECASE)

pytestmark = pytest.mark.slow


def assert_whole(path):
    content = path.read_bytes()
    if path.suffix == ".pdf":
        assert content.endswith(b"%%EOF\n"), path
        reader = pypdf.PdfReader(io.BytesIO(content), strict=True)
        drawn = b"\n".join(page.get_contents().get_data() for page in reader.pages)
        boxes = " ".join(str(page.mediabox) for page in reader.pages).encode()
        assert not NO_NUMBER.search(re.sub(rb"\((\\.|[^()\\])*\)", b"", drawn) + boxes), path
    elif path.suffix == ".svg":
        for element in ElementTree.fromstring(content).iter():
            for key, value in element.items():
                assert key == "id" or not NO_NUMBER.search(value.encode()), (path, key, value)
    else:
        assert path.suffix == ".dxf", path
        numbers = [tag for tag in tags(content.decode()) if 10 <= tag[0] < 60 or 140 <= tag[0] < 150]
        assert numbers
        assert not any(NO_NUMBER.search(value.encode()) for _, value in numbers), path
        assert not ezdxf.read(io.StringIO(content.decode())).audit().errors, path


def tags(text):
    lines = text.splitlines()
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def refuse_constant(name):
    raise AssertionError(f"{name} is not a number in JSON")


def assert_figures(printed, command):
    if "--json" in command:
        json.loads(printed, parse_constant=refuse_constant)
    lines = (line.lstrip() for line in printed.splitlines()[1:])
    own_words = "\n".join(line for line in lines if not line.startswith(("instrument,", '"name"')))
    assert not NO_NUMBER.search(own_words.encode()), printed


@pytest.mark.parametrize("number", range(FIRST_SEED, FIRST_SEED + SEEDS))
def test_no_instrument_file_crashes_the_program_or_gives_a_broken_drawing(number, tmp_path_factory):
    folder = tmp_path_factory.mktemp("hostile")
    file, out = folder / "mine.toml", folder / "out"
    whole = 0
    plain = [Phase.generate]  # shrinking thousands of bytes takes hours; the seed names the file instead

    @seed(number)
    @settings(
        max_examples=EACH,
        deadline=None,
        database=None,
        phases=plain,
        suppress_health_check=list(HealthCheck),
    )
    @given(FILES, commands())
    def check(content, ordered):
        nonlocal whole
        for old in out.glob("*") if out.exists() else ():
            old.unlink()
        if out.exists():
            out.rmdir()
        file.write_bytes(content)
        command, *rest = ordered
        to = ["--out", out] if command == "draw" else []
        with no_longer_than(LONGEST_S):
            status, printed, noted = run(command, file, *rest, *to)
        assert status in (0, 2, 3), (status, printed, noted)
        if status == 2:
            assert noted
            assert not out.exists(), "something was written"
            for line in noted.splitlines():
                if not line.startswith("note: "):
                    assert ": " in line, f"no place: {line}"
                    assert "; " in line or "Error" in line, f"no remedy: {line}"
            return
        whole += 1
        if command == "draw":
            written = list(out.iterdir())
            assert written
            for path in written:
                assert_whole(path)
        else:
            assert_figures(printed, rest)

    check()
    assert whole >= LEAST_WHOLE, f"only {whole} of {EACH} were drawn: too few to prove anything"
