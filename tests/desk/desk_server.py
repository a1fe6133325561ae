"""A desk in a process of its own, and plain requests to it: no library stands between test and wire."""

from __future__ import annotations

import http.client
import json
import re
import select
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode, urlsplit

PATIENCE = 90.0  # [s] on a machine that is busy with other tests


@dataclass(frozen=True, kw_only=True)
class Answer:
    status: int
    headers: Mapping[str, str]
    text: str
    content: bytes


@dataclass(frozen=True, kw_only=True)
class Desk:
    folder: Path
    port: int
    token: str
    process: subprocess.Popen[str]
    seconds_to_start: float

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/?token={self.token}"

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def ask(
        self,
        method: str,
        path: str,
        *,
        body: bytes = b"",
        headers: Mapping[str, str | None] | None = None,
    ) -> Answer:
        """Ask as the desk's own page would, but for the headers given; None leaves one out."""
        usual: dict[str, str | None] = {
            "Host": f"127.0.0.1:{self.port}",
            "Cookie": f"desk-{self.port}={self.token}",
        }
        if method == "POST":
            usual |= {"Origin": self.origin, "Content-Type": "application/x-www-form-urlencoded"}
        sent = {name: value for name, value in {**usual, **(headers or {})}.items() if value is not None}
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        try:
            line.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in sent.items():
                line.putheader(name, value)
            line.putheader("Content-Length", str(len(body)))
            line.endheaders(body)
            found = line.getresponse()
            content = found.read()
            return Answer(
                status=found.status, headers={n.lower(): v for n, v in found.getheaders()},
                text=content.decode("utf-8", errors="replace"), content=content,
            )  # fmt: skip
        finally:
            line.close()

    def post(self, path: str, **values: str) -> Answer:
        """Send a form and return the page it leads to."""
        answer = self.ask("POST", path, body=urlencode(values).encode())
        if answer.status != 303:
            return answer
        return self.ask("GET", answer.headers["location"])

    def send(self, path: str, files: Mapping[str, tuple[str, bytes]], **values: str) -> Answer:
        """Send a form with files, by field: name and content. Return the page it leads to."""
        edge = "edge-of-a-part"
        parts = [
            f'--{edge}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
            for name, value in values.items()
        ]
        for field, (name, content) in files.items():
            head = f'--{edge}\r\nContent-Disposition: form-data; name="{field}"; filename="{name}"\r\n\r\n'
            parts.append(head.encode() + content + b"\r\n")
        body = b"".join(parts) + f"--{edge}--\r\n".encode()
        headers = {"Content-Type": f"multipart/form-data; boundary={edge}"}
        answer = self.ask("POST", path, body=body, headers=headers)
        return self.ask("GET", answer.headers["location"]) if answer.status == 303 else answer

    def wait(self, state: str = "done") -> dict[str, object]:
        """Wait for the run to end, as it should; return what is known of it."""
        for _ in range(int(PATIENCE / 0.1)):
            found: dict[str, object] = json.loads(self.ask("GET", "/state").text)
            if found["state"] not in ("starting", "running"):
                assert found["state"] == state, found["message"]
                return found
            time.sleep(0.1)
        raise AssertionError("the run does not end")

    def form(self, path: str) -> dict[str, str]:
        """Return what the form of a page would send as it stands."""
        page = self.ask("GET", path).text
        found = re.findall(r'<input(?: type="hidden")? name="([^"]+)" value="([^"]*)"', page)
        return {name: value.replace("&#34;", '"').replace("&amp;", "&") for name, value in found}


@contextmanager
def desk_on(folder: Path) -> Iterator[Desk]:
    """Start a desk on a folder, and end it."""
    begun = time.monotonic()
    process = subprocess.Popen(
        [sys.executable, "-m", "slowflight", "desk", str(folder), "--no-browser"],
        stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        line = process.stdout.readline() if select.select([process.stdout], [], [], PATIENCE)[0] else ""
        found = re.search(r"http\S+", line)
        assert found is not None, f"the desk did not start: {line!r}"
        parts = urlsplit(found[0])
        desk = Desk(
            folder=folder, port=parts.port or 0, token=parts.query.removeprefix("token="), process=process,
            seconds_to_start=time.monotonic() - begun,
        )  # fmt: skip
        _until_open(desk)
        yield desk
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE)
        if process.stdout is not None:
            process.stdout.close()


def _until_open(desk: Desk) -> None:
    for _ in range(200):
        try:
            desk.ask("GET", "/state")
        except OSError:
            time.sleep(0.05)
            continue
        return
    raise AssertionError("the desk does not answer")
