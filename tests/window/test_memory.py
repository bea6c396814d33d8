"""Giving memory back: does nothing where the C library knows of no such thing."""

import ctypes

from servicedesk.window import memory, work


def test_long_work_gives_memory_back_and_short_work_does_not(monkeypatch):
    given: list[int] = []
    monkeypatch.setattr(memory, "_trim", lambda: given.append)
    clock = iter([0.0, work._LONG_S + 0.1, 10.0, 10.0 + work._LONG_S / 2])
    monkeypatch.setattr(work.time, "monotonic", lambda: next(clock))

    assert work._Piece(len, ("four",), {})() == 4
    assert given == [0]
    assert work._Piece(len, ("four",), {})() == 4
    assert given == [0]


def test_another_c_library_is_left_alone(monkeypatch):
    class Bare:
        def __getattr__(self, name: str) -> object:
            raise AttributeError(name)

    monkeypatch.setattr(ctypes, "CDLL", lambda _name: Bare())
    memory._trim.cache_clear()

    memory.give_back()

    memory._trim.cache_clear()
