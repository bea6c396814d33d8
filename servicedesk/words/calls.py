"""How calls, symptoms and kinds of visits are called."""

from collections.abc import Iterable

from servicedesk.words.languages import say

_NANP_LENGTH = len("+14095550142")


def symptom(symptom_id: str) -> str:
    """What a symptom is called; one that is not known here is its id in plain words."""
    return _symptoms().get(symptom_id) or plain(symptom_id)


def symptoms(symptom_ids: Iterable[str]) -> str:
    """Several symptoms as one line, empty if there are none."""
    return ", ".join(symptom(one) for one in symptom_ids)


def plain(word_id: str) -> str:
    """An id as words: "alarm-float" gives "Alarm float"."""
    words = word_id.replace("-", " ").replace("_", " ").strip()
    return words[:1].upper() + words[1:]


def number(phone: str) -> str:
    """A telephone number as it is read out: "+14095550142" gives "409 555-0142".

    North American numbers only (ITU-T E.164, country code 1); any other stays as it is.
    """
    if len(phone) == _NANP_LENGTH and phone.startswith("+1") and phone[2:].isdecimal():
        return f"{phone[2:5]} {phone[5:8]}-{phone[8:]}"
    return phone


def phone_text(typed: str, e164: str | None) -> str:
    """A number as it is read out; as typed where it has another form or says more than a number."""
    said = number(e164) if e164 else ""
    has_words = any(sign.isalpha() for sign in typed)  # an extension, "after six"
    return typed if not said or said == e164 or has_words else said


def _symptoms() -> dict[str, str]:
    return {
        "high-water-alarm": say("High-water alarm"),
        "alarm-comes-and-goes": say("Alarm that comes and goes"),
        "alarm-not-identified": say("Alarm, cannot tell which"),
        "air-alarm": say("Air alarm"),
        "no-bubbles": say("Air pump silent, no alarm"),
        "compressor-noisy": say("Air pump loud or hot"),
        "water-high-no-alarm": say("Water high but no alarm"),
        "no-spray": say("No spray"),
        "weak-spray": say("Weak or uneven spray"),
        "sprays-wrong-time": say("Sprays at odd times"),
        "pump-runs-on": say("Pump will not stop"),
        "pump-short-cycles": say("Pump starts and stops often"),
        "breaker-trips": say("Breaker trips"),
        "dead-panel": say("Panel dead, no lights"),
        "odour-outside": say("Smell outside"),
        "odour-inside": say("Smell in the house"),
        "wet-area": say("Wet or soggy area"),
        "slow-drains": say("Slow drains or backup in the house"),
        "no-chlorine": say("No chlorine found"),
        "chlorine-strong": say("Strong chlorine smell"),
        "uv-fault": say("Ultraviolet lamp alarm"),
        "poor-effluent": say("Cloudy water, solids or foam"),
        "drip-pressure-off": say("Drip field pressure is off"),
        "lid-hazard": say("Lid broken, open or loose"),
    }


def priority(name: str) -> str:
    """How pressing a call is."""
    names = {"danger": say("danger"), "urgent": say("urgent"), "normal": say("normal")}
    return names.get(name, name)


def role(name: str) -> str:
    """What somebody is at a site."""
    names = {
        "owner": say("owner"),
        "occupant": say("lives there"),
        "pays": say("pays"),
        "opens": say("opens"),
        "report": say("gets the report"),
    }
    return names.get(name, name)


def dispersal(name: str) -> str:
    """How the water leaves, as the list of sites says it."""
    names = {
        "spray": say("spray"),
        "drip": say("drip"),
        "pumped": say("pumped"),
        "gravity": say("gravity"),
    }
    return names.get(name, name)


def debtor(name: str) -> str:
    """Who owes it."""
    names = {
        "us": say("us"),
        "owner": say("the owner"),
        "tenant": say("the tenant"),
        "installer": say("the installer"),
        "supplier": say("the supplier"),
        "hauler": say("the hauler"),
        "electrician": say("the electrician"),
        "authority": say("the authority"),
    }
    return names.get(name, name)
