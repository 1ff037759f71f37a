"""Lays the table from an installed wheel, opens it as a page does, paints a stitch and clears it.

Usage: wheel_table.py FABRICSIM, the command, with the Python that it was installed for.
"""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
from urllib.request import urlopen

from websockets.sync.client import connect

PATIENCE = 120.0


def check(command: str) -> None:
    with subprocess.Popen([command, "table", "--no-browser"], stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            base, secret = process.stdout.readline().split()[-1].split("/#")
            with urlopen(base) as answer:
                front = answer.read().decode()
            needed = re.findall(r'(?:src|href)="(/?page/[^"]+)"', front)
            assert needed, "the front page names no file of its own"
            for path in needed:
                with urlopen(f"{base}/{path.lstrip('/')}") as answer:
                    assert answer.read(1), path
            with connect(f"{base.replace('http', 'ws')}/ws", origin=base, max_size=None) as socket:  # type: ignore[arg-type]
                socket.send(json.dumps({"kind": "hello", "secret": secret}))
                seen = set()
                while "shape" not in seen:  # the hat that ships with it
                    data = socket.recv(PATIENCE)
                    seen.add("shape" if isinstance(data, bytes) else json.loads(data)["kind"])
                socket.send(json.dumps({"kind": "paint", "squares": [[0, 0, 0]]}))
                changed = False
                while not (changed and isinstance(data, bytes)):  # and a fabric that was solved
                    data = socket.recv(PATIENCE)
                    changed = changed or (isinstance(data, str) and '"revision":2' in data)
            process.send_signal(signal.SIGINT)
            assert process.wait(PATIENCE) == 0
        finally:
            process.kill()


if __name__ == "__main__":
    check(sys.argv[1])
