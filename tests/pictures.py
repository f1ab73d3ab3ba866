"""Makes README's pictures anew: three pages of a sample's packet, and a finding as a terminal shows it.

Run by hand after the packet's looks changed; it needs `pdftoppm` of poppler-utils. Pages are in sixteen grays, which
keeps them small.
"""

from __future__ import annotations

import io
import struct
import subprocess
import sys
import tempfile
import zlib
from contextlib import redirect_stdout
from html import escape
from pathlib import Path

ROOT = Path(__file__).parents[1]
SAMPLES = ROOT / "sample_projects"
PICTURES = SAMPLES / "pictures"
# By picture: what its page's running head says, and dots an inch.
PAGES = {"summary": ("1 Summary", 78), "site": ("2 Site", 78), "system": ("3 The whole system", 92)}
LINE, LETTER, WIDEST = 18, 8.4, 118  # of the terminal's picture, pixels, and letters in a line


def png(gray: bytes) -> bytes:
    """A portable graymap as PNG of four bits a dot."""
    _, size, _, dots = gray.split(b"\n", 3)
    width, height = map(int, size.split())
    rows = bytearray()
    for y in range(height):
        row = dots[y * width : (y + 1) * width] + b"\xff" * (width % 2)
        packed = ((row[x] & 0xF0) | row[x + 1] >> 4 for x in range(0, len(row), 2))
        rows += b"\0" + bytes(packed)

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 4, 0, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(rows), 9)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def terminal(lines: list[str]) -> str:
    tall = len(lines) * LINE + 28
    lines = [line if len(line) <= WIDEST else f"{line[: WIDEST - 1]}…" for line in lines]
    wide = int(max(map(len, lines)) * LETTER) + 32
    text = "".join(
        f'<text x="16" y="{30 + n * LINE}" xml:space="preserve">{escape(line)}</text>' for n, line in enumerate(lines)
    )
    style = 'font-family="ui-monospace, DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="14" fill="#e8e8e8"'
    box = f'<rect width="{wide}" height="{tall}" rx="6" fill="#1a1a1a"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{tall}">{box}<g {style}>{text}</g></svg>\n'


def main() -> None:
    from specc.cli import main as specc

    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        packet = f"{folder}/packet.pdf"
        specc(["compile", "--quiet", str(SAMPLES / "lantern_reeds" / "project.yaml"), "-o", packet])
        said = subprocess.run(["pdftotext", "-layout", packet, "-"], capture_output=True, check=True).stdout.decode()
        heads = [page.strip().split("\n")[0] for page in said.split("\f")]
        for name, (head, dpi) in PAGES.items():
            number = next(n for n, text in enumerate(heads, 1) if head in text)
            command = ["pdftoppm", "-gray", "-r", str(dpi), "-f", str(number), "-l", str(number), packet]
            gray = subprocess.run(command, capture_output=True, check=True).stdout
            (PICTURES / f"{name}.png").write_bytes(png(gray))
    caught = io.StringIO()
    with redirect_stdout(caught):
        specc(["check", str(SAMPLES / "broken_mast" / "project.yaml")])
    told = caught.getvalue().replace(f"{ROOT}/", "").split("\n\n")
    first = next(t for t in told if " fuel." in t.split("\n")[0]).split("\n")
    call = "$ specc check sample_projects/broken_mast/project.yaml"
    (PICTURES / "finding.svg").write_text(terminal([call, *first]), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
