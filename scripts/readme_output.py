"""Write what `yardland demo` prints into README.md, between its two marks."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

README = Path(__file__).parent.parent / "README.md"
BEGIN, END = "<!-- output of: yardland demo -->\n```text\n", "```\n<!-- end of output -->"


def demo_output() -> str:
    """What the command prints in an empty folder, as `start.py demo` calls it."""
    code = "from yardland.cli.main import main; import sys; sys.argv = ['yardland', 'demo', '--to', 'out/tarn-hollow']; main()"
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run([sys.executable, "-c", code], cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout


def between(text: str) -> str:
    """The part of the README that holds the output."""
    return text.partition(BEGIN)[2].partition(END)[0]


def main() -> None:
    """Renew the README."""
    text = README.read_text(encoding="utf-8")
    head, _, rest = text.partition(BEGIN)
    tail = rest.partition(END)[2]
    README.write_text(head + BEGIN + demo_output() + END + tail, encoding="utf-8")


if __name__ == "__main__":
    main()
