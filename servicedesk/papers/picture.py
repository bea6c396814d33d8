"""A page of a paper as a picture, without a screen."""

from io import BytesIO

import pypdfium2


def page_count(pdf: bytes) -> int:
    """How many pages a PDF has."""
    with pypdfium2.PdfDocument(pdf) as document:
        return len(document)


def page_png(pdf: bytes, page: int = 0, *, scale: float = 2.0) -> bytes:
    """Page `page` (from 0) as PNG; `scale` 1 is 72 dots to the inch. Raises IndexError."""
    with pypdfium2.PdfDocument(pdf) as document:
        if not 0 <= page < len(document):
            raise IndexError(f"page {page} of {len(document)}")
        buffer = BytesIO()
        document[page].render(scale=scale).to_pil().save(buffer, format="PNG")
    return buffer.getvalue()
