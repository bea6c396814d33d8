"""An e-mail draft as a file that any mail program opens (RFC 5322, MIME RFC 2045, PDF attached).

Nothing is sent: a person opens it, looks, and sends it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email import policy
from email.headerregistry import Address
from email.message import EmailMessage
from email.utils import format_datetime

from servicedesk.values.trouble import Trouble
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class Enclosed:
    """A PDF that goes with the mail."""

    name: str
    pdf: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class MailDraft:
    """A mail to look at and send. `at` is aware; `uid` makes the message's own name.

    `to_email` empty: the draft opens without a receiver. Equal drafts give equal bytes.
    """

    from_name: str
    from_email: str
    to_name: str
    to_email: str
    subject: str
    text: str
    at: datetime
    uid: str
    enclosed: Sequence[Enclosed] = ()


def mail_draft(draft: MailDraft) -> bytes:
    """The draft as the bytes of an .eml file, lines ended by CR LF.

    Raises Trouble where an address cannot be written into a mail.
    """
    message = EmailMessage(policy=policy.SMTP.clone(cte_type="7bit"))
    message["Date"] = format_datetime(draft.at)
    message["From"] = _address(draft.from_name, draft.from_email)
    if draft.to_email.strip():
        message["To"] = _address(draft.to_name, draft.to_email)
    message["Subject"] = _one_line(draft.subject)
    domain = draft.from_email.rpartition("@")[2].strip()
    message["Message-ID"] = f"<{draft.uid}@{domain}>"
    message.set_content(draft.text)
    for one in draft.enclosed:
        message.add_attachment(
            one.pdf, maintype="application", subtype="pdf", filename=_one_line(one.name)
        )
    if message.is_multipart():
        # from the draft's own name, so that equal drafts are equal files
        message.set_boundary(f"=_{draft.uid}")
    return message.as_bytes()


def _address(name: str, email: str) -> Address:
    try:
        return Address(display_name=_one_line(name), addr_spec=email.strip())
    except (ValueError, IndexError) as error:
        raise Trouble(
            say("“{email}” is no e-mail address.", email=email.strip()),
            do=say("Write the address of {name} anew.", name=name),
        ) from error


def _one_line(text: str) -> str:
    """A header has one line: a break in a name must not begin another header."""
    return " ".join(text.split())
