"""What a file is by its first bytes, where it is no plain text.

Signatures: PRONOM (The National Archives) and the formats' own specifications, from memory.
"""

_ARCHIVES = (
    (b"word/", "a Word document"),
    (b"opendocument.text", "an OpenDocument text"),
    (b"ppt/", "a presentation"),
    (b"xl/", "a spreadsheet"),
    (b"opendocument.spreadsheet", "a spreadsheet"),
    (b"epub", "an e-book"),
)
_SIGNATURES = (
    (b"\x89PNG\r\n", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"BM", "a picture (BMP)"),
    (b"II*\x00", "a picture (TIFF)"),
    (b"MM\x00*", "a picture (TIFF)"),
    (b"\x00\x00\x01\x00", "a picture (icon)"),
    (b"\xd0\xcf\x11\xe0", "a document of an old office program"),
    (b"{\\rtf", "a rich text document (RTF)"),
    (b"\x1f\x8b", "a packed file (gzip)"),
    (b"Rar!", "a packed file (RAR)"),
    (b"7z\xbc\xaf", "a packed file (7z)"),
    (b"ID3", "a sound file"),
    (b"OggS", "a sound file"),
    (b"fLaC", "a sound file"),
    (b"\x1aE\xdf\xa3", "a film"),
    (b"%!PS", "a PostScript file"),
    (b"SQLite format 3", "a database"),
)
_TO_TEXT = "open it and save it as plain text, or copy its text into a file"
_TO_WRITE = "only written rows are read: write them, or copy them as text, into a file"


def foreign(content: bytes) -> tuple[str, str] | None:
    """What a file is, and what to do, where it is neither text nor PDF; else None."""
    head = content[:4096]
    if content[:4] == b"RIFF":
        return (
            ("a picture (WebP)", _TO_WRITE)
            if content[8:12] == b"WEBP"
            else ("a sound or film", _TO_WRITE)
        )
    if content[4:8] == b"ftyp":
        picture = content[8:12] in {b"heic", b"heix", b"mif1", b"avif", b"msf1"}
        return ("a picture (HEIC)" if picture else "a film", _TO_WRITE)
    if content[:4] == b"PK\x03\x04":
        kind = next((told for mark, told in _ARCHIVES if mark in content), "a packed file (ZIP)")
        return kind, _TO_TEXT
    start = head.lstrip(b"\xef\xbb\xbf \t\r\n")
    if start[:4] == b"<svg" or (start[:5] == b"<?xml" and b"<svg" in head):
        return "a picture or a chart (SVG)", _TO_WRITE
    for mark, told in _SIGNATURES:
        if content.startswith(mark) and (len(mark) > 3 or b"\x00" in head):
            picture = told.startswith(("a picture", "a sound", "a film"))
            return told, _TO_WRITE if picture else _TO_TEXT
    return None


def is_pdf(content: bytes) -> bool:
    """Whether it is a PDF: its header stands within the first kilobyte (ISO 32000-1, annex H)."""
    return b"%PDF-" in content[:1024]
