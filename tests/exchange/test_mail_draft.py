"""Mail drafts, read back by the standard library's parser (RFC 5322 messages, RFC 2045 MIME)."""

from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.utils import parsedate_to_datetime

import pytest

from servicedesk.exchange.mail_draft import Enclosed, MailDraft, mail_draft
from servicedesk.values.trouble import Trouble

AT = datetime(2026, 10, 14, 14, 46, tzinfo=UTC)
PDF = b"%PDF-1.4\r\n\x00\xff binary \n.\nFrom here\n%%EOF"


def a_draft(**values):
    wanted = {
        "from_name": "Sallow Fork Onsite Care",
        "from_email": "office@example.org",
        "to_name": "Łoziński, Ruth",
        "to_email": "ruth@example.org",
        "subject": "Report 118: 118 Dry Hollow Lane",
        "text": "Attached is our report.\nGreetings: ó\n",
        "at": AT,
        "uid": "a" * 32,
        "enclosed": (Enclosed("report-118-owner.pdf", PDF),),
    }
    return MailDraft(**wanted | values)


def read(data):
    return message_from_bytes(data, policy=policy.default)


def test_it_is_read_back_whole():
    message = read(mail_draft(a_draft()))

    assert message["From"].addresses[0].addr_spec == "office@example.org"
    (to,) = message["To"].addresses
    assert (to.display_name, to.addr_spec) == ("Łoziński, Ruth", "ruth@example.org")
    assert message["Subject"] == "Report 118: 118 Dry Hollow Lane"
    assert parsedate_to_datetime(message["Date"]) == AT
    assert message["Message-ID"] == f"<{'a' * 32}@example.org>"
    lines = message.get_body().get_content().splitlines()
    assert lines == ["Attached is our report.", "Greetings: ó"]
    (part,) = message.iter_attachments()
    assert part.get_content_type() == "application/pdf"
    assert part.get_filename() == "report-118-owner.pdf"
    assert part.get_content() == PDF
    assert not message.defects


def test_lines_end_as_the_standard_says_and_are_not_too_long():
    # RFC 5322, 2.1.1: lines of at most 998 characters, ended by CR LF; 2.3: CR and LF together
    data = mail_draft(a_draft(subject="long " * 60))

    assert data.replace(b"\r\n", b"").count(b"\n") == 0
    assert max(len(line) for line in data.split(b"\r\n")) <= 998
    assert data.isascii()


def test_equal_drafts_are_equal_bytes():
    assert mail_draft(a_draft()) == mail_draft(a_draft())


def test_a_line_break_in_a_name_begins_no_other_header():
    message = read(mail_draft(a_draft(to_name="Ruth\r\nBcc: all@example.org", subject="a\nb")))

    assert message["Bcc"] is None
    assert message["Subject"] == "a b"


def test_without_an_address_it_opens_without_a_receiver():
    assert read(mail_draft(a_draft(to_email="")))["To"] is None


def test_what_is_no_address_is_refused_with_its_name():
    with pytest.raises(Trouble, match="ruth at home"):
        mail_draft(a_draft(to_email="ruth at home"))
