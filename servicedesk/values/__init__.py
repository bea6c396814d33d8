"""Small frozen types shared by every room. Nothing here knows a screen, a database or a language."""
