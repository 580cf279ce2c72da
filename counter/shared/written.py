"""Pattern files: read from the disk with every way it can fail told in one sentence."""

import codecs
import logging
import zlib
from io import BytesIO
from pathlib import Path

from counter.shared.file_kinds import foreign, is_pdf
from engine.base.patient import read_patiently
from engine.base.refusal import Refusal
from models.text import legible_lines

PDF_BYTES_AT_MOST = 40_000_000
PAGES_AT_MOST = 60
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def pattern_text(path: Path) -> str:
    """The text of a pattern file, made legible: plain text in UTF-8, UTF-16 or Windows-1252,
    a web page, or a PDF with text in it. Raises Refusal, which names the file's kind, for others.
    """
    from engine.pattern.text.read import BYTES_AT_MOST
    from engine.pattern.text.signs import visible

    try:
        content = read_patiently(path, PDF_BYTES_AT_MOST + 1)
    except (OSError, ValueError) as error:  # a name that no file can have is a ValueError
        why = getattr(error, "strerror", None) or str(error)
        raise Refusal(f"{path} cannot be read ({why}): name a pattern file.") from error
    if is_pdf(content):
        return legible_lines(visible(_of_pdf(path, content)))
    other = foreign(content)
    if other:
        raise Refusal(f"{path} is {other[0]} and no text: {other[1]}.")
    if len(content) > BYTES_AT_MOST:
        raise Refusal(f"{path} is larger than {BYTES_AT_MOST // 1000} kB: that is no pattern.")
    return legible_lines(visible(_decoded(path, content)))


def _decoded(path: Path, content: bytes) -> str:
    """Text by its byte order mark, else UTF-8, else UTF-16 by its zeros, else Windows-1252."""
    try:
        for mark, encoding in _MARKS:
            if content.startswith(mark):
                return content.decode(encoding)
        if b"\x00" in content:
            return content.decode(_without_mark(path, content))
        try:
            return content.decode("utf-8")
        except UnicodeDecodeError:
            return content.decode("cp1252")
    except UnicodeDecodeError as error:
        raise Refusal(
            f"{path} is no text that can be read (byte {error.start + 1}): save it as plain text "
            "in UTF-8."
        ) from error


def _without_mark(path: Path, content: bytes) -> str:
    """UTF-16 of a text in Latin letters has a zero in every other byte."""
    even, odd = content[0::2].count(0), content[1::2].count(0)
    half = len(content) // 2
    if odd > 0.6 * half and not even:
        return "utf-16-le"
    if even > 0.6 * half and not odd:
        return "utf-16-be"
    raise Refusal(f"{path} is no text: save the pattern as plain text in UTF-8.")


def _of_pdf(path: Path, content: bytes) -> str:
    """The text that a PDF holds, page by page."""
    try:
        from pypdf import PdfReader
        from pypdf.errors import PyPdfError
    except ImportError:
        raise Refusal(
            f"{path} is a PDF: install the extra that reads them (pip install 'spokenrow[pdf]'), "
            "or copy its text into a plain text file."
        ) from None
    if len(content) > PDF_BYTES_AT_MOST:
        raise Refusal(f"{path} is larger than {PDF_BYTES_AT_MOST // 1_000_000} MB: copy its text.")
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)  # what is wrong is told in our words
    try:
        reader = PdfReader(BytesIO(content))
        if reader.is_encrypted and not reader.decrypt(""):
            raise Refusal(f"{path} is a PDF with a password: open it and copy its text.")
        if len(reader.pages) > PAGES_AT_MOST:
            raise Refusal(
                f"{path} has {len(reader.pages)} pages, more than {PAGES_AT_MOST}: copy the "
                "pattern's text into a file."
            )
        pages = [page.extract_text() for page in reader.pages]
    except Refusal:
        raise
    except (
        PyPdfError,
        ValueError,
        LookupError,
        AssertionError,
        zlib.error,
        TypeError,
        AttributeError,
        RecursionError,
        OSError,
    ) as error:
        raise Refusal(
            f"{path} is a damaged PDF: open it in a program that shows it, and copy its text."
        ) from error
    text = "\n\n".join(pages)
    if sum(c.isalpha() for c in text) < 20 * len(pages):
        raise Refusal(
            f"{path} is a PDF of pictures, without text that can be read: write the rows out in a "
            "plain text file."
        )
    return text
