"""The shelf on the page: instruments are opened, saved, copied and drawn, and no request reaches anything else."""

import datetime
import io
import json
import os
import subprocess
import threading
import zipfile
from functools import partial

import pytest
from lingering import lingering
from samples import run
from served import in_process, own_file, serving, state

from jigs.instrument.opening import preset_text
from jigs.page.answers import answer
from jigs.page.processes import Processes
from jigs.page.shelf import FILES, ROUTES
from jigs.rack import shelf as shelves
from jigs.readings.keep import Given, keep

pytestmark = pytest.mark.slow

BANJO = preset_text("banjo")
JSON = {"Content-Type": "application/json"}


@pytest.fixture
def folder(tmp_path):
    """A shelf with three instruments."""
    made = tmp_path / "shelf"
    made.mkdir()
    for name in ("loan-banjo-7.toml", "loan-banjo-10.toml"):
        (made / name).write_text(BANJO)
    (made / "loan-mandolin-3.toml").write_text(preset_text("mandolin"))
    return made


@pytest.fixture
def asking(folder):
    """The page with this shelf, in this process."""
    return in_process(partial(answer, shelf=folder))


READINGS = ["--string", "1", "--harmonic", "1", "--fretted", "0", "--string", "4", "--harmonic", "0", "--fretted", "-9"]
TYPED = {"treble-harmonic": "1", "treble-fretted": "0", "bass-harmonic": "0", "bass-fretted": "-9"}
"""The same readings on the command line and on the page."""


def asked(asking, route, base=None, fields=None, **more):
    """What the page answers to a request about the shelf."""
    reply = asking.post(f"/{route}", {**state(base=base, fields=fields), "asked": more})
    assert reply.status == 200, reply.body
    return reply.data


def codes(data):
    return [fault["code"] for fault in data["faults"]]


def opened(asking, file):
    data = asked(asking, "shelf-open", file=file)
    assert data["faults"] == []
    return {key: data[key] for key in ("text", "name", "stamp")}


# ---- what is on it


def test_list_shows_names_kinds_places_and_last_readings_in_order(asking, folder):
    keep(str(folder / "loan-banjo-7.toml"), Given(at="669.7 / 670.0"), datetime.date(2026, 11, 25))
    run("readings", str(folder / "loan-banjo-7.toml"), *READINGS, "--log", str(folder / "loan-banjo-7.jsonl"))
    data = asked(asking, "shelf-list")
    assert data["folder"] == str(folder)
    files = data["files"]
    assert [one["file"] for one in files] == ["loan-banjo-7.toml", "loan-banjo-10.toml", "loan-mandolin-3.toml"]
    kind, place, last = files[0]["facts"]
    assert (kind, place) == ("banjo, 5 strings", "place kept on 25 November 2026")
    assert last.startswith("last reading, step 1: ")
    assert last.endswith("bass 9.0 cents flat")
    assert files[2]["facts"] == ["mandolin, 4 courses"]
    assert all(one["opens"] and not one["fault"] for one in files)
    assert data["drawn"] is False


def test_faulty_file_is_listed_in_the_words_of_the_page(asking, folder):
    (folder / "a.toml").write_text(
        BANJO.replace('kind  = "banjo"', 'kind  = "lute"').replace("nut     = 0.5", "nut = -3")
    )
    one = asked(asking, "shelf-list")["files"][0]
    assert one["file"] == "a.toml"
    assert one["opens"]
    assert "(and 1 more)" in one["fault"]
    assert not set("[]=") & set(one["fault"]), "as the file has it"
    assert opened(asking, "a.toml")["text"].count("lute") == 1


def test_new_instrument_is_named_by_what_it_is_called(asking):
    assert asked(asking, "shelf-list", fields={"name": "Loan banjo 7"})["new"] == "loan-banjo-7-2.toml"
    assert asked(asking, "shelf-list", fields={"name": "../../x"})["new"] == "x.toml"
    assert asked(asking, "shelf-list", base=own_file('name = "a', "../mine.toml"))["new"] == "mine.toml"
    assert asked(asking, "shelf-list")["new"] == f"{shelves.stem_of('Five-string banjo')}.toml"


def test_page_without_a_shelf_says_why_and_everything_else_works(application):
    for route in ROUTES:
        reply = application.post(f"/{route}", {**state(), "asked": {"file": "a.toml", "stamp": ""}})
        assert codes(reply.data) == ["shelf-none"], route
    assert application.drawn()


# ---- saving


def test_saved_file_is_the_instrument_file_that_the_page_downloads(asking, folder):
    base = opened(asking, "loan-banjo-7.toml")
    fields = {"scale": "26 3/8 in", "strings.1.gauge": ".011", "name": "Réb ♭7"}
    data = asked(asking, "shelf-save", base, fields, file=base["name"], stamp=base["stamp"])
    downloaded = asking.post("/file", state(base=base, fields=fields)).body
    assert (folder / "loan-banjo-7.toml").read_bytes() == downloaded == data["text"].encode()
    assert b"# " in downloaded, "with its comments"
    assert opened(asking, "loan-banjo-7.toml") == {key: data[key] for key in ("text", "name", "stamp")}


def test_untouched_preset_is_saved_byte_for_byte(asking, folder):
    assert asked(asking, "shelf-save", file="new", stamp="")["name"] == "new.toml"
    assert (folder / "new.toml").read_text() == BANJO


def test_faulty_instrument_is_not_saved_and_every_fault_is_at_its_field(asking, folder):
    data = asked(asking, "shelf-save", fields={"scale": "x", "action.nut": "-4"}, file="a/b", stamp="")
    assert {fault["field"] for fault in data["faults"]} == {"scale", "action.nut", "shelf.file"}
    assert next(fault for fault in data["faults"] if fault["field"] == "shelf.file")["where"] == "File name"
    assert len(list(folder.iterdir())) == 3


@pytest.mark.parametrize("why", ["changed", "gone", "taken"])
def test_conflict_writes_nothing_and_offers_a_name_beside_it(asking, folder, why):
    base = opened(asking, "loan-banjo-7.toml")
    if why == "changed":
        keep(str(folder / "loan-banjo-7.toml"), Given(at="669.7 / 670.0"), datetime.date(2026, 11, 25))
    if why == "gone":
        (folder / "loan-banjo-7.toml").unlink()
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    stamp = "" if why == "taken" else base["stamp"]
    data = asked(asking, "shelf-save", base, {"scale": "667"}, file=base["name"], stamp=stamp)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    conflict = data["conflict"]
    assert conflict["why"] == why
    assert conflict["text"].endswith("Nothing was saved yet.")
    assert conflict["free"] == ("loan-banjo-7.toml" if why == "gone" else "loan-banjo-7-2.toml")
    saved = asked(asking, "shelf-save", base, {"scale": "667"}, file=conflict["free"], stamp="")
    assert saved["name"] == conflict["free"]
    assert {path.name: path.read_bytes() for path in folder.iterdir()}.items() > before.items()


def test_copy_is_beside_the_file_with_a_name_of_its_own(asking, folder):
    assert asked(asking, "shelf-copy", file="loan-banjo-7.toml")["name"] == "loan-banjo-7-2.toml"
    files = {one["file"]: one["name"] for one in asked(asking, "shelf-list")["files"]}
    assert files["loan-banjo-7-2.toml"] == f"{files['loan-banjo-7.toml']} (copy)"
    assert len((folder / "loan-banjo-7-2.toml").read_text().splitlines()) == len(BANJO.splitlines())


# ---- what must not be reached

HOSTILE = [
    "../outside.toml", "/etc/passwd", "..", "", "loan-banjo-7.toml\0", "./loan-banjo-7.toml", "drawn/rack-state.jsonl",
    "link.toml", "pipe.toml", "device.toml", ".hidden.toml", "<script>", "x" * 9000,
]  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_no_name_reaches_anything_but_the_files_of_the_shelf(asking, folder, tmp_path, name):
    for outside in (tmp_path / "outside.toml", folder / ".hidden.toml"):
        outside.write_text(f"{BANJO}# secret\n")
    (folder / "link.toml").symlink_to(tmp_path / "outside.toml")
    (folder / "device.toml").symlink_to("/dev/zero")
    os.mkfifo(folder / "pipe.toml")
    before = {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")}
    for route in ("shelf-open", "shelf-copy", "shelf-log", "shelf-save"):
        sent = {
            **state(readings=TYPED),
            "asked": {"file": name, "stamp": "0" * 64},
        }
        reply = asking.post(f"/{route}", sent)
        assert reply.status == 200
        assert b"secret" not in reply.body
        assert not set(b"<>&") & set(reply.body)
        assert codes(reply.data) == ["shelf-file-unknown"] or reply.data["conflict"]["why"] == "gone"
    reply = asking.post("/shelf-save", {**state(), "asked": {"file": name, "stamp": ""}})
    assert codes(reply.data) == ["shelf-file-name"] or reply.data["conflict"]["why"] == "taken"
    assert {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")} == before


@pytest.mark.parametrize(
    "headers", [{"Host": "evil.example"}, {"Origin": "https://evil.example"}, {"Sec-Fetch-Site": "same-site"}]
)
def test_no_other_site_can_read_or_change_the_shelf(asking, folder, headers):
    before = {path: path.read_bytes() for path in folder.iterdir()}
    for route in ROUTES:
        body = json.dumps(
            {**state(), "asked": {"file": "loan-banjo-7.toml", "stamp": "", "templates": "fork"}}
        ).encode()
        reply = asking.ask("POST", f"/{route}", body, {**JSON, **headers})
        assert reply.status == 403
        assert b"loan" not in reply.body
        assert asking.ask("POST", f"/{route}", body, {"Content-Type": "text/plain"}).status == 415
        assert asking.ask("GET", f"/{route}").status == 405
    assert {path: path.read_bytes() for path in folder.iterdir()} == before


def test_path_of_the_shelf_is_in_no_reply_but_the_list(asking, folder):
    """The index has it, as the command line's."""
    (folder / "faulty.toml").write_text("scale = 26 1/4 in")
    for route in ROUTES.keys() - FILES:
        for file in ("loan-banjo-7.toml", "faulty.toml", "nothing.toml"):
            sent = {
                **state(readings={"treble-harmonic": "1"}),
                "asked": {"file": file, "stamp": "0" * 64, "templates": "fork,head"},
            }
            reply = asking.post(f"/{route}", sent)
            assert (str(folder).encode() in reply.body) is (route == "shelf-list"), route


@pytest.mark.parametrize("sent", [{}, {"file": "a.toml"}, {"stamp": ""}])
def test_request_without_what_it_needs_is_refused(asking, sent):
    assert asking.post("/shelf-save", {**state(), "asked": sent}).status == 400


# ---- all of it drawn


def test_shelf_is_drawn_as_a_rack_and_its_files_come_back(asking, folder, tmp_path):
    data = asking.post("/shelf-draw", {**state(draw={"paper": "letter"}), "asked": {"templates": "fork,head"}}).data
    assert data["faults"] == []
    assert data["outcome"] == "3 drawn, 0 unchanged"
    assert (
        run("rack", str(folder), "--out", str(tmp_path / "by"), "--templates", "fork,head", "--paper", "letter")[0] == 0
    )
    theirs = {path.name: path.read_bytes() for path in (tmp_path / "by").iterdir() if path.name != "rack-state.jsonl"}
    assert sorted(theirs) == data["names"]
    sent = {**state(), "asked": {}}
    reply = asking.post("/shelf-archive", sent)
    assert reply.kind == "application/zip"
    with zipfile.ZipFile(io.BytesIO(reply.body)) as packed:
        assert {name: packed.read(name) for name in packed.namelist()} == theirs
    reply = asking.post("/shelf-index", sent)
    assert (reply.kind, reply.body) == ("application/pdf", theirs["rack-index.pdf"])
    assert asked(asking, "shelf-draw", templates="fork,head")["outcome"] == "3 drawn, 0 unchanged", "on another paper"
    assert asked(asking, "shelf-list")["drawn"] is True


def test_instruments_that_a_template_is_not_for_are_named(asking):
    data = asked(asking, "shelf-draw", templates="head")
    assert data["outcome"] == "0 drawn, 0 unchanged, 3 with nothing to draw"
    for file in ("loan-banjo-7.toml", "loan-banjo-10.toml", "loan-mandolin-3.toml"):
        assert file in data["nothing"]
    assert asked(asking, "shelf-draw", templates="fork")["nothing"] == ""


def test_drawings_of_another_order_are_not_called_those_of_another_shelf(asking):
    assert asked(asking, "shelf-draw", templates="fork,crown")["left"] == ""
    left = asked(asking, "shelf-draw", templates="fork")["left"]
    assert "loan-banjo-7-crown.pdf" in left
    assert "no longer" not in left
    assert "not in the download" in left
    sent = {**state(), "asked": {}}
    with zipfile.ZipFile(io.BytesIO(asking.post("/shelf-archive", sent).body)) as packed:
        assert not [name for name in packed.namelist() if "crown" in name]


def test_faults_of_one_file_leave_the_others_drawn(asking, folder):
    (folder / "a.toml").write_text(BANJO.replace('kind  = "banjo"', 'kind  = "lute"'))
    data = asked(asking, "shelf-draw")
    assert data["outcome"] == "3 drawn, 0 unchanged, 1 faulty"
    (trouble,) = data["troubles"]
    assert trouble["field"] == ""
    assert trouble["where"].startswith("a.toml: ")
    assert not set("[]=") & set(trouble["where"] + trouble["what"] + trouble["remedy"])


def test_order_that_cannot_be_drawn_is_a_fault_at_its_field(asking):
    assert [fault["field"] for fault in asked(asking, "shelf-draw", templates="fork,knife")["faults"]] == [
        "shelf.templates"
    ]
    reply = asking.post("/shelf-draw", {**state(draw={"paper": "a99"}), "asked": {}})
    assert [fault["field"] for fault in reply.data["faults"]] == ["draw.paper"]


def test_shelf_that_is_drawn_by_another_program_says_so(asking, folder):
    from jigs.rack.state import only_rack

    with only_rack(folder / "drawn"):
        (fault,) = asked(asking, "shelf-draw")["faults"]
    assert fault["code"] == "shelf-busy"
    assert "--" not in fault["what"] + fault["remedy"]


def test_file_of_drawings_that_are_not_there_is_refused_with_a_reason(asking):
    for route in ("/shelf-index", "/shelf-archive"):
        reply = asking.post(route, {**state(), "asked": {}})
        assert reply.status == 422
        assert codes(reply.data) == ["shelf-not-drawn"]


# ---- the log


def test_log_is_the_command_lines_and_the_next_list_shows_it(asking, folder, tmp_path):
    base = opened(asking, "loan-banjo-7.toml")
    for _ in range(2):
        sent = {**state(base=base, readings=TYPED), "asked": {"file": base["name"]}}
        assert asking.post("/shelf-log", sent).data == {"log": "loan-banjo-7.jsonl", "faults": []}
        if not (tmp_path / "by.jsonl").exists():
            run("readings", str(folder / "loan-banjo-7.toml"), *READINGS, "--log", str(tmp_path / "by.jsonl"))
            assert (folder / "loan-banjo-7.jsonl").read_bytes() == (tmp_path / "by.jsonl").read_bytes()
    assert asked(asking, "shelf-list")["files"][0]["facts"][-1].startswith("last reading, step 2: ")


def test_readings_that_are_faulty_are_not_kept(asking, folder):
    sent = {**state(readings={"treble-harmonic": "x", "treble-fretted": "1"}), "asked": {"file": "loan-banjo-7.toml"}}
    assert asking.post("/shelf-log", sent).data["faults"]
    assert not (folder / "loan-banjo-7.jsonl").exists()


def test_log_that_takes_no_round_says_so_without_its_folder(asking, folder):
    (folder / "loan-banjo-7.jsonl").write_text("not a log\n")
    sent = {**state(readings=TYPED), "asked": {"file": "loan-banjo-7.toml"}}
    (fault,) = asking.post("/shelf-log", sent).data["faults"]
    assert "loan-banjo-7.jsonl" in fault["what"]
    assert str(folder) not in "".join(fault.values())
    assert "“" not in fault["remedy"], "no label that this page does not have"
    assert (folder / "loan-banjo-7.jsonl").read_text() == "not a log\n"


# ---- as it is served


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """A server with a shelf of twelve instruments."""
    folder = tmp_path_factory.mktemp("shelf")
    for number in range(12):
        (folder / f"loan-{number}.toml").write_text(BANJO)
    with serving(tmp_path_factory.mktemp("served"), "--port", "0", "--shelf", str(folder)) as running:
        yield running, folder


def test_page_draws_what_is_typed_while_the_shelf_is_drawn(served):
    running, folder = served
    replies = []
    every = {**state(), "asked": {"templates": "fork,gauge,head,spacing"}}
    drawing = [threading.Thread(target=lambda: replies.append(running.post("/shelf-draw", every))) for _ in range(3)]
    for one in drawing:
        one.start()
    meanwhile = 0
    while any(one.is_alive() for one in drawing):
        assert running.drawn(fields={"scale": f"{660 + meanwhile % 9} mm"})
        meanwhile += 1
    for one in drawing:
        one.join()
    assert meanwhile >= 3
    assert {codes(reply.data)[0] if codes(reply.data) else "" for reply in replies} <= {"", "shelf-busy"}
    assert (folder / "drawn" / "loan-11-fork.pdf").exists()


def test_save_from_two_windows_keeps_both(served):
    running, folder = served
    (folder / "both.toml").write_text(BANJO)
    base = opened(running, "both.toml")
    replies = []

    def save(scale):
        replies.append(asked(running, "shelf-save", base, {"scale": scale}, file=base["name"], stamp=base["stamp"]))

    windows = [threading.Thread(target=save, args=(f"{660 + n}",)) for n in range(6)]
    for one in windows:
        one.start()
    for one in windows:
        one.join(60)
    assert sorted("conflict" in reply for reply in replies) == [False] + [True] * 5
    (saved,) = (reply for reply in replies if "conflict" not in reply)
    assert (folder / "both.toml").read_text() == saved["text"]


def test_what_takes_longer_never_has_all_workers():
    processes = Processes(2, 30, lingering)
    try:
        asking = in_process(processes.ask)
        asking.drawn()
        waiting = [
            threading.Thread(target=asking.post, args=("/shelf-draw", {**state(), "asked": {}})) for _ in range(4)
        ]
        for one in waiting:
            one.start()
        quick = 0
        while any(one.is_alive() for one in waiting):
            asking.drawn()
            quick += 1
        assert quick > 10
    finally:
        processes.close()


def test_shelf_that_may_only_be_read_opens_and_says_why_it_does_not_save(asking, folder):
    if os.geteuid() == 0:
        if subprocess.run(["mount", "--bind", folder, folder], capture_output=True, check=False).returncode:
            pytest.skip("root may write everywhere here")
        subprocess.run(["mount", "-o", "remount,ro,bind", folder], check=True)
    else:
        folder.chmod(0o555)
    try:
        base = opened(asking, "loan-banjo-7.toml")
        for route, more in (
            ("shelf-save", {"file": base["name"], "stamp": base["stamp"]}),
            ("shelf-save", {"file": "new", "stamp": ""}),
            ("shelf-copy", {"file": base["name"]}),
            ("shelf-draw", {}),
        ):
            (fault,) = asked(asking, route, base, {"scale": "667"}, **more)["faults"]
            assert "--" not in fault["remedy"]
            assert "“" not in fault["remedy"], "no label that this page does not have"
            assert str(folder) not in "".join(fault.values())
    finally:
        if os.geteuid() == 0:
            subprocess.run(["umount", folder], check=True)
        else:
            folder.chmod(0o755)
