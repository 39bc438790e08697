"""The page serves its user alone: no other computer, no other site, no file that is not its own."""

import json
import socket
import sys
import threading
import xml.etree.ElementTree as ET
from contextlib import contextmanager
from pathlib import Path

import pytest
from samples import ROOT
from served import LIMIT_BYTES, SOUND_LIMIT_BYTES, dawdling, in_process, own_file, silence, state

from jigs.page import answers

pytestmark = pytest.mark.slow

ROUTES = tuple(f"/{route}" for route in answers.ROUTES)
JSON = {"Content-Type": "application/json"}
LISTEN = "/listen?open_hz=293.66&wanted=open"
WAV = {"Content-Type": "audio/wav"}
BODY = json.dumps(state()).encode()
HEADERS = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; "
    "img-src 'self' data: blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "microphone=(self)",
    "cache-control": "no-store",
}
FOREIGN_HOSTS = [
    "example.org", "127.0.0.1.evil.example", "localhost.evil", "evil.localhost.example:80",
    "127.0.0.1@evil.example", "evil.example#127.0.0.1", "evil.example?127.0.0.1", "[::ffff:203.0.113.9]",
    "0.0.0.0", "203.0.113.9:8311", "[", "127.0.0.1:port", "localhost evil", "127.0.0.1,evil.example",
]  # fmt: skip
HOSTILE = [
    "../../etc/passwd", "../../../../../../etc/passwd", "/etc/passwd", "/etc/hostname\0.toml", "..\\..\\boot.ini",
    "file:///etc/passwd", "~/.ssh/id_rsa", "%2e%2e%2fetc%2fpasswd", "/proc/self/environ", "//203.0.113.9/share",
    "../settings", "banjo/../../settings",
]  # fmt: skip
MARKUP = "<script>alert(1)</script>&\"'<img src=x onerror=alert(1)>"


def refused(reply, *statuses):
    """A refusal in the form that the page can show."""
    assert reply.status in statuses, reply.body[:300]
    (fault,) = reply.data["faults"]
    assert set(fault) == {"code", "field", "where", "what", "remedy"}
    assert fault["code"]
    assert fault["what"]
    assert fault["remedy"]
    return reply


@pytest.mark.parametrize("host", FOREIGN_HOSTS)
def test_other_names_for_this_computer_get_nothing(application, host):
    """A site may point a name of its own at 127.0.0.1 (DNS rebinding); its pages must read nothing here."""
    for path in ("/", "/static/page.css", "/nothing"):
        refused(application.ask("GET", path, headers={"Host": host}), 400, 403)
    for route in ROUTES:
        refused(application.ask("POST", route, BODY, {**JSON, "Host": host}), 400, 403)
    refused(application.ask("POST", LISTEN, silence(), {**WAV, "Host": host}), 400, 403)


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost:8000", "LOCALHOST", "127.0.0.1"])
def test_own_names_of_this_computer_get_the_page(application, host):
    assert application.ask("GET", "/", headers={"Host": host}).status == 200
    assert application.ask("POST", "/draw", BODY, {**JSON, "Host": host}).status == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:8001"},
        {"Origin": "https://127.0.0.1:8000"},
        {"Origin": "http://127.0.0.1:8000.evil.example"},
        {"Origin": ""},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "none"},
        {"Sec-Fetch-Site": "cross-site", "Origin": "http://127.0.0.1:8000"},
        {"Sec-Fetch-Site": "same-origin", "Origin": "https://evil.example"},
    ],
    ids=str,
)
def test_posts_from_another_site_are_refused(application, headers):
    for route in ROUTES:
        refused(application.ask("POST", route, BODY, {**JSON, **headers}), 403)
    refused(application.ask("POST", LISTEN, silence(), {**WAV, **headers}), 403)


def test_posts_from_the_page_itself_are_answered(application):
    own = {"Origin": "http://127.0.0.1:8000", "Sec-Fetch-Site": "same-origin"}
    assert application.ask("POST", "/draw", BODY, {**JSON, **own}).status == 200


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "", "text/json"]
)
def test_kinds_that_any_site_may_send_are_refused(application, kind):
    """A browser sends these across sites without asking; it asks before it sends application/json, and the answer is no."""
    for route in ROUTES:
        refused(application.ask("POST", route, BODY, {"Content-Type": kind}), 415)
    refused(application.ask("POST", LISTEN, silence(), {"Content-Type": kind}), 415)


def test_sound_and_forms_each_have_a_route_of_their_own(application):
    assert application.ask("POST", LISTEN, silence(), WAV).data["state"] == "waiting"
    refused(application.ask("POST", LISTEN, BODY, JSON), 415)
    for route in ROUTES:
        refused(application.ask("POST", route, silence(), WAV), 415)


def test_no_other_site_ever_gets_permission(application):
    headers = {"Origin": "https://evil.example", "Access-Control-Request-Method": "POST"}
    reply = application.ask("OPTIONS", "/draw", headers={**headers, "Access-Control-Request-Headers": "content-type"})
    assert not [name for name in reply.headers if name.startswith("access-control")]


def test_body_over_the_limit_is_refused(application, server):
    most = state(fields={"name": ""})
    most["fields"]["name"] = "x" * (LIMIT_BYTES - len(json.dumps(most)))
    for asking in (application, server):
        assert asking.post("/draw", most).status == 200
        refused(asking.ask("POST", "/draw", json.dumps(most).encode() + b" ", JSON), 413)


def test_sound_over_its_own_limit_is_refused(application, server):
    for asking in (application, server):
        assert asking.ask("POST", LISTEN, silence(SOUND_LIMIT_BYTES), WAV).status == 200
        reply = refused(asking.ask("POST", LISTEN, silence(SOUND_LIMIT_BYTES + 1), WAV), 413)
        assert "sound" in reply.data["faults"][0]["what"]


@pytest.mark.parametrize("size", [LIMIT_BYTES + 1, 2 * LIMIT_BYTES + 1, 16 * LIMIT_BYTES])
def test_body_far_over_the_limit_is_refused_in_the_same_form(server, size):
    refused(server.ask("POST", "/draw", BODY + b" " * (size - len(BODY)), JSON), 413)


def spoken(server, sent, most=1 << 20):
    """Bytes to the server's port, and what comes back until it closes."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=20) as line:
        try:
            line.sendall(sent)
            line.shutdown(socket.SHUT_WR)
        except OSError:
            pass
        got = b""
        while len(got) < most:
            try:
                part = line.recv(65536)
            except ConnectionResetError:
                break
            if not part:
                break
            got += part
        return got


def chunked(server, body):
    head = f"POST /draw HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/json\r\n"
    pieces = [body[n : n + 8000] for n in range(0, len(body), 8000)]
    sent = b"".join(b"%x\r\n%s\r\n" % (len(piece), piece) for piece in pieces)
    return spoken(
        server, f"{head}Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n".encode() + sent + b"0\r\n\r\n"
    )


def test_body_without_a_length_is_measured_against_the_limit_too(server):
    assert chunked(server, BODY).startswith(b"HTTP/1.1 200")
    for size in (LIMIT_BYTES + 1, 3 * LIMIT_BYTES):
        assert chunked(server, BODY + b" " * (size - len(BODY))).startswith(b"HTTP/1.1 413")


@pytest.mark.parametrize(
    "sent",
    [
        b"\x16\x03\x01\x00\xa5\x01\x00\x00\xa1\x03\x03" + bytes(64),
        b"GET / HTTP/1.1\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n",
        b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n",
        b"POST /draw HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: -5\r\n\r\n",
        b"POST /draw HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        b"GET /" + b"a" * 300_000 + b" HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: " + b"a" * 300_000 + b"\r\n\r\n",
    ],
    ids=["tls", "no-host", "two-hosts", "absolute", "negative", "both-lengths", "long-path", "long-header"],
)
def test_nonsense_on_the_line_gets_no_file_and_does_no_harm(server, sent):
    got = spoken(server, sent)
    assert b" 500 " not in got.split(b"\r\n")[0]
    assert b"root:" not in got
    if b"Host: evil" in sent or b"Host: a" in sent:
        assert b"200 OK" not in got.split(b"\r\n")[0]
    assert server.ask("GET", "/").status == 200


def all_kinds_of_replies(asking):
    yield asking.ask("GET", "/")
    yield asking.ask("HEAD", "/")
    for name in ("page.css", "DejaVuSans.ttf", "nothing", "page.html"):
        yield asking.ask("GET", f"/static/{name}")
    for route in ROUTES:
        yield asking.post(route, state())
        yield asking.post(route, state("nothing"))
        yield asking.post(route, state(fields={"scale": "x"}))
        yield asking.ask("GET", route)
        yield asking.ask("OPTIONS", route)
        yield asking.ask("POST", route, b"{", JSON)
        yield asking.ask("POST", route, BODY)
        yield asking.ask("POST", route, BODY, {**JSON, "Host": "evil.example"})
        yield asking.ask("POST", route, BODY, {**JSON, "Sec-Fetch-Site": "cross-site"})
    for query in (LISTEN, "/listen"):
        yield asking.ask("POST", query, silence(), WAV)
        yield asking.ask("POST", query, b"garbage", WAV)
        yield asking.ask("POST", query, silence(), JSON)
        yield asking.ask("GET", query)
    yield asking.ask("POST", LISTEN, silence(SOUND_LIMIT_BYTES + 1), WAV)
    yield asking.ask("DELETE", "/")
    yield asking.ask("GET", "/favicon.ico")
    yield asking.ask("POST", "/draw", b" " * (LIMIT_BYTES + 1), JSON)


def test_every_reply_says_what_the_browser_may_do(application):
    statuses = set()
    for reply in all_kinds_of_replies(application):
        statuses.add(reply.status)
        assert {name: reply.headers.get(name) for name in HEADERS} == HEADERS, reply
        assert "set-cookie" not in reply.headers
        assert "server" not in reply.headers or "/" not in reply.headers["server"]
        assert reply.kind
    assert statuses >= {200, 400, 403, 404, 405, 413, 415, 422}


def test_the_server_says_the_same(server):
    for path in ("/", "/static/page.css", "/nothing"):
        reply = server.ask("GET", path)
        assert {name: reply.headers.get(name) for name in HEADERS} == HEADERS
    page = server.ask("GET", "/")
    assert page.kind == "text/html; charset=utf-8"


def test_unknown_routes_are_refused_in_the_form_that_the_page_can_show(application):
    refused(application.ask("GET", "/nothing"), 404)
    refused(application.ask("GET", "/static/"), 404)
    refused(application.ask("GET", "/draw"), 405)
    refused(application.ask("PUT", "/draw", BODY, JSON), 405)
    refused(application.ask("POST", "/", BODY, JSON), 405)


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py", "/static/..%2fapp.py", "/static/%2e%2e/app.py", "/static/..\\app.py",
        "/static//etc/passwd", "/static/%2fetc%2fpasswd", "/static/....//app.py", "/static/page.css%00.html",
        "/../../etc/passwd", "/static/page.html", "/static/./page.css", "/app.py", "/presets/banjo.toml",
        "/.git/config", "//etc/passwd", "/static/page.css/../../app.py",
    ],
)  # fmt: skip
def test_no_path_leads_to_another_file(application, server, path):
    for asking in (application, server):
        assert asking.ask("GET", path).status in (400, 404, 308), path
        assert asking.ask("GET", path).status != 200


opened_by_this_process = []
watching = threading.Event()


def _note(event, arguments):
    if watching.is_set() and event in ("open", "os.listdir", "os.scandir", "glob.glob"):
        opened_by_this_process.append(arguments[0])


@contextmanager
def watched():
    """The paths that this process opens or lists meanwhile."""
    if not hasattr(sys, "_jigs_watched"):
        sys.addaudithook(_note)
        sys._jigs_watched = True
    opened_by_this_process.clear()
    watching.set()
    try:
        yield opened_by_this_process
    finally:
        watching.clear()


def questions_with(text):
    """A question for every place that takes a name: (route, state)."""
    bases = ({"preset": text}, own_file("", text), own_file(text, text), {"preset": "banjo", "name": text})
    yield from ((route, state(base=base)) for base in bases for route in ROUTES)
    for key in ("name", "kind", "scale", "hand", "strings", "strings.4.note", "strings.4.wrap", "fret_rule", text):
        yield from ((route, state(fields={key: text})) for route in ("/draw", "/file"))
    for key in ("template", "paper", "printer", "datum-fret", "rim", "kerf", text):
        yield from ((route, state(draw={key: text})) for route in ("/draw", "/pdf"))
    for key in ("treble-harmonic", "at", "tuner-error", text):
        yield "/readings", state(readings={key: text, "bass-harmonic": "1", "bass-fretted": "1"})


def is_own(path):
    """Whether a path is the program's own: its package, its libraries, or the folder of the user's settings."""
    import os

    if isinstance(path, int) or path is None:
        return True
    found = Path(os.fsdecode(path)).resolve()
    settings = Path(os.environ["XDG_CONFIG_HOME"])
    roots = (
        ROOT / "jigs",
        ROOT / "geometry",
        settings,
        Path(sys.prefix),
        Path(sys.base_prefix),
        Path(os.__file__).parent,
    )
    return any(found.is_relative_to(root.resolve()) for root in roots)


@pytest.mark.parametrize("text", HOSTILE)
def test_no_name_makes_it_read_another_file(application, text):
    assert application.post("/pdf", state()).status == 200, (
        "the PDF library looks for its settings when it is first loaded"
    )
    with watched() as paths:
        replies = [application.post(route, sent) for route, sent in questions_with(text)]
    assert [path for path in paths if not is_own(path)] == []
    assert {reply.status for reply in replies} <= {200, 400, 422}
    for reply in replies:
        assert b"root:" not in reply.body


def test_sound_of_a_pluck_is_written_nowhere(application):
    application.ask("POST", LISTEN, silence(), WAV)
    with watched() as paths:
        assert application.ask("POST", LISTEN, silence(SOUND_LIMIT_BYTES), WAV).status == 200
    assert [path for path in paths if not is_own(path)] == []


def test_watching_sees_what_is_read(tmp_path):
    """Otherwise the test before this one could not fail."""
    (tmp_path / "other").write_text("x")
    with watched() as paths:
        (tmp_path / "other").read_text()
        list(tmp_path.glob("*"))
    assert len([path for path in paths if not is_own(path)]) == 2


@pytest.mark.parametrize("where", ["preset", "template", "paper", "printer", "name"])
def test_file_beside_the_server_is_not_taken_for_a_preset(application, tmp_path, monkeypatch, where):
    """On the command line a file's name opens an instrument; here only presets have names."""
    (tmp_path / "mine.toml").write_text(
        'name = "canary"\nkind = "banjo"\nscale = 650\n[[strings]]\nnote = "D4"\ngauge = 0.3'
    )
    monkeypatch.chdir(tmp_path)
    for name in ("mine.toml", str(tmp_path / "mine.toml"), "./mine.toml", "mine"):
        sent = {
            "preset": state(name),
            "name": state(base=own_file("", name)),
        }.get(where) or state(draw={where: name})
        for route in ROUTES:
            reply = application.post(route, sent)
            assert b"canary" not in reply.body


def test_names_come_back_as_text(application):
    page = application.post("/draw", state(fields={"name": MARKUP[:40]}))
    for character in b"<>&":
        assert bytes([character]) not in page.body
    data = page.data
    assert data["name"] == MARKUP[:40]
    (sheet,) = data["sheets"]
    tags = {item.tag.rsplit("}")[-1] for item in ET.fromstring(sheet).iter()}
    assert not tags & {"script", "img", "a", "image", "foreignObject", "use", "style", "iframe"}
    assert not [name for item in ET.fromstring(sheet).iter() for name in item.attrib if name.lower().startswith("on")]
    for name in (*data["names"], data["pdf"], data["file"]):
        assert name.replace("-", "").replace(".", "").isalnum()


@pytest.mark.parametrize(
    "text", [MARKUP, "\x1b[31m\r\nSet-Cookie: x=y", "\u202etxt.exe", "é" * 300, "a/b\\c:d*e?f", "..", "CON"]
)
def test_own_files_name_is_made_harmless(application, text):
    from jigs.instrument.opening import preset_text

    data = application.drawn(base=own_file(preset_text("banjo"), f"{text}.toml"))
    for name in (*data["names"], data["pdf"], data["file"]):
        stem, dot, ending = name.rpartition(".")
        assert dot
        assert ending in ("svg", "pdf", "toml")
        assert all(char.isalnum() or char == "-" for char in stem)
        assert len(name) < 100


def test_markup_in_any_place_is_never_given_back_as_markup(application):
    for route, sent in questions_with(MARKUP):
        reply = application.post(route, sent)
        if route == "/file" and reply.status == 200:
            assert reply.kind == "application/toml; charset=utf-8"
        elif reply.kind != "application/pdf":
            assert reply.kind.startswith("application/json")
            assert not set(b"<>&") & set(reply.body)


@pytest.fixture(scope="module")
def slow_processes():
    """Two workers that dawdle or die on request, and are stopped after less than a second."""
    from jigs.page.processes import Processes

    processes = Processes(2, 0.7, dawdling)
    for _ in range(2):
        processes.ask("draw", BODY)  # the first request of each waits until it is warm
    yield in_process(processes.ask)
    processes.close()


def test_drawing_that_takes_too_long_is_stopped_and_the_next_is_drawn(slow_processes):
    good = state("mandolin", {"scale": "14 in"})
    expected = slow_processes.post("/draw", good)
    assert expected.status == 200
    for text in ("dawdle", "drop dead"):
        refused(slow_processes.post("/draw", state(fields={"name": text})), 503)
        assert slow_processes.post("/draw", good).body == expected.body


def test_sound_that_takes_too_long_is_stopped_and_the_next_is_heard(slow_processes):
    reply = refused(slow_processes.ask("POST", LISTEN, b"dawdle", WAV), 503)
    assert reply.data["faults"][0]["code"] == "hearing-slow"
    assert slow_processes.ask("POST", LISTEN, silence(), WAV).data["state"] == "waiting"


def test_drawing_that_takes_too_long_does_not_hold_up_others(slow_processes):
    slow = []
    waiting = threading.Thread(
        target=lambda: slow.append(slow_processes.post("/draw", state(fields={"name": "dawdle"})))
    )
    waiting.start()
    quick = [slow_processes.post("/draw", state()) for _ in range(3)]
    waiting.join(30)
    assert [reply.status for reply in quick] == [200] * 3
    assert [reply.status for reply in slow] == [503]


def test_hundred_requests_at_once_all_get_their_answer(server):
    sent = [
        state(("banjo", "mandolin")[n % 2], {"scale": f"{655 + n} mm" if n % 2 == 0 else f"{345 + n / 10} mm"})
        for n in range(100)
    ]
    replies = [None] * len(sent)
    before = len(server.printed)

    def ask(n):
        replies[n] = server.post("/draw", sent[n])

    threads = [threading.Thread(target=ask, args=(n,)) for n in range(len(sent))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    assert all(replies)
    assert {reply.status for reply in replies} == {200}
    assert len({reply.body for reply in replies}) == 100
    for n in (0, 1, 99):
        assert replies[n].body == server.post("/draw", sent[n]).body
    assert server.printed[before:] == [], "no line in the terminal that means nothing to a player"


def listening_addresses(port):
    """Where this machine listens on a port, as the kernel lists it (proc(5), net/tcp), None where it lists nothing."""
    found = []
    for name in ("tcp", "tcp6"):
        table = Path("/proc/net", name)
        if not table.exists():
            return None
        for line in table.read_text().splitlines()[1:]:
            local, _, state_of = line.split()[1:4]
            address, hexadecimal = local.split(":")
            if int(hexadecimal, 16) == port and state_of == "0A":
                found.append(address)
    return found


def test_no_other_computer_can_ask(server):
    listening = listening_addresses(server.port)
    if listening is None:
        pytest.skip("this system does not say where it listens")
    assert listening == ["0100007F"]
