"""Links to call, to write and to mail, held against their standards and taken apart again."""

from urllib.parse import parse_qs, urlsplit

from servicedesk.exchange.links import mail_link, sms_link, tel_link

WORDS = "Hello & welcome?\nStraße #5 = 100% “fine”"


def test_a_number_in_e164_is_a_call():
    """RFC 3966, section 5.1.4: a global number begins with + and its country."""
    assert tel_link("+12015550123") == "tel:+12015550123"
    assert [tel_link(no) for no in ("", "409-555-0100", "+0123", "+1 201 555 0123", "+")] == [
        ""
    ] * 5


def test_the_examples_of_the_standards_come_out_as_they_stand_there():
    """RFC 5724, section 2.1; RFC 6068, section 6.1 (body with a line break); both from memory."""
    assert sms_link("+15105550101", "hello there") == "sms:+15105550101?body=hello%20there"
    link = mail_link("infobot@example.com", "", "send current-issue\nsend index")
    assert link.endswith("body=send%20current-issue%0D%0Asend%20index")


def test_what_is_said_comes_back_whole():
    link = urlsplit(mail_link("ruth@example.org", WORDS, WORDS))
    assert (link.scheme, link.path) == ("mailto", "ruth@example.org")
    back = parse_qs(link.query)
    assert back == {"subject": [WORDS.replace("\n", "\r\n")], "body": [WORDS.replace("\n", "\r\n")]}
    assert parse_qs(urlsplit(sms_link("+15105550101", WORDS)).query)["body"] == [
        WORDS.replace("\n", "\r\n")
    ]


def test_no_address_can_smuggle_in_a_field_or_another_one():
    """RFC 6068, section 7: a link must not carry what nobody wrote."""
    assert mail_link("ruth?bcc=x@example.org", "s", "b").startswith("mailto:ruth%3Fbcc%3Dx@")
    assert [mail_link(a, "s", "b") for a in ("", "ruth", "a@b, c@d", "a b@c", "@c", "a@")] == [
        ""
    ] * 6
