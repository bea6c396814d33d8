"""Links that open a phone, a text message or an e-mail, ready to send; nothing is sent here."""

import re
from urllib.parse import quote

_E164 = re.compile(r"\+[1-9]\d{1,14}")


def tel_link(e164: str) -> str:
    """A call (RFC 3966): "tel:+14095550100"; empty for what is no number in E.164.

    A number without its country would need a context that a link cannot know.
    """
    return f"tel:{e164}" if _E164.fullmatch(e164) else ""


def sms_link(e164: str, text: str) -> str:
    """A text message with its words (RFC 5724); empty for what is no number in E.164."""
    if not _E164.fullmatch(e164):
        return ""
    return f"sms:{e164}?body={_words(text)}"


def mail_link(address: str, subject: str, text: str) -> str:
    """An e-mail with subject and words (RFC 6068); empty for what is no address."""
    name, at, host = address.strip().rpartition("@")
    if not at or not name or not host or re.search(r"[\s<>,;]", address.strip()):
        return ""
    # RFC 6068, section 2: signs with a meaning in links are written as their numbers
    to = quote(name, safe="!$'*+-._~") + "@" + quote(host, safe=".-")
    return f"mailto:{to}?subject={_words(subject)}&body={_words(text)}"


def _words(text: str) -> str:
    """Text as a value: line breaks are CR LF (RFC 6068, section 5), everything else by UTF-8."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\r\n")
    return quote(lines.encode("utf-8", "replace"), safe="")
