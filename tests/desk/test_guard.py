"""Strangers at the desk: each is refused, and the desk goes on."""

import socket
import stat
import subprocess
import sys
import time

import pytest

from quietacre.desk.guard import MOST_FILE_BYTES, Secrets


def raw(desk, text, *, more=b"", wait_s=5.0):
    """Return all that comes back for raw bytes on one connection."""
    with socket.create_connection(("127.0.0.1", desk.port), timeout=wait_s) as line:
        line.sendall(text.replace("\n", "\r\n").encode() + more)
        parts = []
        try:
            while part := line.recv(65536):
                parts.append(part)
        except TimeoutError:
            pass
    return b"".join(parts).decode("utf-8", "replace")


def status(answer):
    return int(answer.split(" ", 2)[1]) if answer.startswith("HTTP/1.1 ") else 0


def request(desk, line, *headers, host=None):
    host = host or f"127.0.0.1:{desk.port}"
    head = [
        line,
        *([f"Host: {host}"] if host != "none" else []),
        "Connection: close",
        *headers,
    ]
    return "\n".join(head) + "\n\n"


KEYED = "X-Quietacre-Key: {key}"


def keyed(desk, *headers):
    return [KEYED.format(key=desk.key), *headers]


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "localhost",
        "127.0.0.1",
        "127.0.0.1:80",
        "[::1]",
        "none",
        "127.0.0.1.evil.example",
    ],
)
def test_a_foreign_or_rebound_host_is_misdirected(shared_desk, host):
    desk = shared_desk
    name = host.replace(":80", ":1") if host != "none" else "none"
    answer = raw(desk, request(desk, "GET /api/start HTTP/1.1", *keyed(desk), host=name))
    assert status(answer) in (421, 400)
    assert "places" not in answer


def test_two_hosts_are_refused(shared_desk):
    desk = shared_desk
    answer = raw(
        desk, request(desk, "GET /api/start HTTP/1.1", "Host: evil.example", *keyed(desk))
    )
    assert status(answer) in (400, 421)


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "http://127.0.0.1:1", "https://127.0.0.1:{port}", "null",
     "http://localhost:{port}", "http://127.0.0.1:{port}.evil.example", None],
)  # fmt: skip
def test_a_foreign_origin_tells_nothing(shared_desk, origin):
    desk = shared_desk
    headers = keyed(desk, "Content-Length: 2")
    if origin:
        headers.append(f"Origin: {origin.format(port=desk.port)}")
    answer = raw(desk, request(desk, "POST /api/undo HTTP/1.1", *headers) + "{}")
    assert status(answer) == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site", "nonsense"])
def test_what_the_browser_says_of_another_page_is_believed(shared_desk, site):
    desk = shared_desk
    answer = raw(
        desk,
        request(desk, "GET /api/start HTTP/1.1", *keyed(desk), f"Sec-Fetch-Site: {site}"),
    )
    assert status(answer) == 403
    assert (
        status(raw(desk, request(desk, "GET / HTTP/1.1", f"Sec-Fetch-Site: {site}"))) == 403
    )


@pytest.mark.parametrize("key", ["", "x" * 43, "ключ"])
def test_without_the_key_nothing_is_told(shared_desk, key):
    for path in ("start", "place", "ground", "year", "words", "lines", "steps", "here", "figures?lat=33",
                 "edge?area=North", "rates", "marks", "pictures", "picture?picture=x.png"):  # fmt: skip
        answer = raw(
            shared_desk,
            request(shared_desk, f"GET /api/{path} HTTP/1.1", f"X-Quietacre-Key: {key}"),
        )
        assert status(answer) in (403, 400), path


@pytest.mark.parametrize(
    "path",
    [
        "shape",
        "strip",
        "keep",
        "redo",
        "mark",
        "place/edge",
        "place/keep",
        "table",
        "table/keep",
    ],
)
def test_drawing_is_told_by_this_page_alone(shared_desk, path):
    desk = shared_desk
    for headers in (
        ["Content-Length: 2", f"Origin: {desk.base}"],
        keyed(desk, "Content-Length: 2"),
        keyed(desk, "Content-Length: 2", "Origin: http://evil.example"),
        keyed(
            desk, "Content-Length: 2", f"Origin: {desk.base}", "Sec-Fetch-Site: cross-site"
        ),
    ):
        answer = raw(desk, request(desk, f"POST /api/{path} HTTP/1.1", *headers) + "{}")
        assert status(answer) == 403, headers
    headers = keyed(desk, f"Origin: {desk.base}", "Content-Length: 2000000")
    assert status(raw(desk, request(desk, f"POST /api/{path} HTTP/1.1", *headers))) == 413
    odd = "[" * 100_000
    headers = keyed(desk, f"Origin: {desk.base}", f"Content-Length: {len(odd)}")
    answer = raw(desk, request(desk, f"POST /api/{path} HTTP/1.1", *headers) + odd)
    assert status(answer) in (404, 422)
    assert (
        status(raw(desk, request(desk, f"GET /api/{path} HTTP/1.1", *keyed(desk)))) == 405
    )


def test_two_keys_are_no_key(shared_desk):
    answer = raw(
        shared_desk,
        request(
            shared_desk,
            "GET /api/start HTTP/1.1",
            *keyed(shared_desk),
            "X-Quietacre-Key: x",
        ),
    )
    assert status(answer) == 403


def test_a_ticket_is_good_once(shared_desk):
    code, said = shared_desk.call("/api/key", {"ticket": shared_desk.ticket}, key="none")
    assert code == 403
    assert "used already" in said["why"]
    secrets = Secrets("k", "s", {"one"})
    assert secrets.take("one")
    assert not secrets.take("one")
    assert not secrets.take("")


def test_another_user_without_the_starters_word_gets_no_ticket(shared_desk):
    for word in ("", "guess"):
        answer = raw(
            shared_desk,
            request(
                shared_desk,
                "POST /api/ticket HTTP/1.1",
                f"X-Quietacre-Starter: {word}",
                "Content-Length: 0",
            ),
        )
        assert status(answer) == 403
    path = shared_desk.home / "state" / "quietacre" / "desk" / "running.json"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "length", ["-1", "+5", "0x10", "1 2", "abc", "99999999999999", "٣"]
)
def test_odd_lengths_are_refused(shared_desk, length):
    desk = shared_desk
    headers = keyed(desk, f"Origin: {desk.base}", f"Content-Length: {length}")
    assert status(raw(desk, request(desk, "POST /api/set HTTP/1.1", *headers))) in (
        400,
        413,
    )


def test_chunked_bodies_are_refused(shared_desk):
    desk = shared_desk
    headers = keyed(desk, f"Origin: {desk.base}", "Transfer-Encoding: chunked")
    answer = raw(desk, request(desk, "POST /api/set HTTP/1.1", *headers) + "2\n{}\n0\n\n")
    assert status(answer) == 400


def test_a_smuggled_second_request_is_not_answered(shared_desk):
    desk = shared_desk
    inner = request(desk, "GET /api/start HTTP/1.1", *keyed(desk))
    outer = (
        f"POST /api/set HTTP/1.1\nHost: 127.0.0.1:{desk.port}\nOrigin: http://evil.example\n"
        f"X-Quietacre-Key: {desk.key}\nContent-Length: {len(inner) + inner.count(chr(10))}\n\n"
    )
    answer = raw(desk, outer + inner)
    assert answer.count("HTTP/1.1 ") == 1
    assert status(answer) == 403
    assert "places" not in answer


def test_a_file_that_is_too_large_is_refused_before_it_is_read(shared_desk):
    desk = shared_desk
    headers = keyed(desk, f"Origin: {desk.base}", f"Content-Length: {MOST_FILE_BYTES + 1}")
    assert status(raw(desk, request(desk, "POST /api/file HTTP/1.1", *headers))) == 413
    headers[-1] = "Content-Length: 300000000"
    assert status(raw(desk, request(desk, "POST /api/set HTTP/1.1", *headers))) == 413


def test_a_slow_body_keeps_nobody_waiting(shared_desk):
    desk = shared_desk
    headers = keyed(desk, f"Origin: {desk.base}", "Content-Length: 1000")
    with socket.create_connection(("127.0.0.1", desk.port), timeout=5) as slow:
        slow.sendall(
            request(desk, "POST /api/set HTTP/1.1", *headers).replace("\n", "\r\n").encode()
        )
        began = time.monotonic()
        assert desk.call("/api/here")[0] == 200
        assert time.monotonic() - began < 4.0


@pytest.mark.parametrize(
    "target",
    ["/../../etc/passwd", "/..%2f..%2fetc/passwd", "/%2e%2e/desk.js", "//desk.js", "/static/desk.js", "/desk.py",
     "/paper/x/map.html", "/paper/../map.html", "http://evil.example/", "/.env", "/desk.html%00.js"],
)  # fmt: skip
def test_paths_lead_nowhere_else(shared_desk, target):
    answer = raw(shared_desk, request(shared_desk, f"GET {target} HTTP/1.1"))
    assert status(answer) in (400, 404, 421), answer[:200]
    assert "root:" not in answer


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"])
def test_other_methods_are_refused(shared_desk, method):
    assert status(raw(shared_desk, request(shared_desk, f"{method} / HTTP/1.1"))) in (
        405,
        400,
    )


def test_the_page_has_its_policy_and_no_cookie(shared_desk):
    answer = raw(shared_desk, request(shared_desk, "GET / HTTP/1.1"))
    head = answer.partition("\r\n\r\n")[0].lower()
    assert "default-src 'none'" in head
    assert "frame-ancestors 'none'" in head
    assert "set-cookie" not in head
    assert "server:" not in head


def test_the_desk_listens_on_the_loopback_alone(shared_desk):
    table = subprocess.run(
        ["cat", "/proc/net/tcp"], capture_output=True, text=True, check=False
    ).stdout
    if not table:
        pytest.skip("no table of sockets here")
    mine = [row.split()[1] for row in table.splitlines()[1:] if row.split()[3] == "0A"]
    here = [
        address
        for address in mine
        if int(address.partition(":")[2], 16) == shared_desk.port
    ]
    assert here == [f"0100007F:{shared_desk.port:04X}"]


def test_a_second_start_opens_a_tab_of_the_first(shared_desk):
    second = subprocess.run(
        [sys.executable, "-m", "quietacre", "open", "--no-browser"], env=shared_desk.env,
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert second.stdout.startswith(shared_desk.base + "/#")
    ticket = second.stdout.strip().partition("#")[2]
    code, said = shared_desk.call("/api/key", {"ticket": ticket}, key="none")
    assert code == 200
    assert said["key"] == shared_desk.key
