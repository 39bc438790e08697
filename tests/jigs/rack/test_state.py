"""The state of a folder: a line of another shape does not count."""

import json

import pytest

from jigs.rack.state import NAME, digest, intact, remembered

WHOLE = {"what": "instrument a", "key": "k", "files": {"a.pdf": "0"}, "older": [], "more": {}}


def with_checksum(data):
    body = json.dumps(data).encode() + b"\n"
    return b'{"checksum": "%b", ' % digest(body)[:16].encode() + body[1:]


@pytest.mark.parametrize(
    "wrong",
    [
        {"files": []},
        {"files": ["a.pdf"]},
        {"files": {"a.pdf": ["0"]}},
        {"key": 1},
        {"older": [["a.svg"]]},
        {"more": None},
        {"what": 3},
    ],
    ids=str,
)
def test_line_of_another_shape_is_ignored_and_its_instrument_drawn_again(wrong, tmp_path):
    """One such line, its checksum right, ended every rack in that folder with a traceback."""
    lines = [with_checksum({**WHOLE, "what": "instrument b"}), with_checksum({**WHOLE, **wrong})]
    (tmp_path / NAME).write_bytes(b'{"state": "bridge-jigs rack 1"}\n' + b"".join(lines))
    known = remembered(tmp_path)
    assert list(known) == ["instrument b"]
    assert not any(intact(record.files, tmp_path) for record in known.values())
