"""Small frozen types shared by every room. They know no screen, database or language."""
