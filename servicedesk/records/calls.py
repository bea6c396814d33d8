"""Calls on the phone, and events to which many of them belong."""

from datetime import datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, Uid, personal, ref


class Event(Logged):
    """A storm, outage or flood over an area and a time."""

    __tablename__ = "event"
    what: Mapped[str]
    name: Mapped[str] = mapped_column(default="")
    localities: Mapped[list[Any]] = mapped_column(default=list)
    from_at: Mapped[datetime]
    until_at: Mapped[datetime | None]


class Call(Logged):
    """A callback on the phone."""

    __tablename__ = "call"
    uid: Mapped[Uid]
    called_at: Mapped[datetime] = mapped_column(index=True)
    site_id: Mapped[int | None] = ref("site", optional=True)  # None: a caller in no book yet
    system_id: Mapped[int | None] = ref("system", optional=True)
    customer_id: Mapped[int | None] = ref("customer", optional=True)
    caller: Mapped[str | None] = personal()
    caller_phone: Mapped[str | None] = personal()
    where_said: Mapped[str | None] = personal()  # as said, where no site is known
    symptoms: Mapped[list[Any]] = mapped_column(default=list)  # symptom ids of trade knowledge
    own_words: Mapped[str | None] = personal()
    answers: Mapped[dict[str, Any]] = mapped_column(default=dict)  # question id: answer
    priority: Mapped[str] = mapped_column(default="normal")  # danger, urgent, normal
    promised_by_at: Mapped[datetime | None]
    state: Mapped[str] = mapped_column(default="open", index=True)  # open, answered, dropped
    answered_at: Mapped[datetime | None]
    taken_by: Mapped[str] = mapped_column(default="")
    event_id: Mapped[int | None] = ref("event", optional=True)


class ThreadMark(Logged):
    """A person's word that a call belongs to another one's trouble, or does not."""

    __tablename__ = "thread_mark"
    call_id: Mapped[int] = ref("call")
    other_call_id: Mapped[int] = ref("call")
    joined: Mapped[bool]  # True: same trouble; False: split
    why: Mapped[str] = mapped_column(default="")
