"""Every sentence a person reads is made here or through here.

English sentences are the message ids of standard gettext catalogues under ``resources/locale``;
a language comes by adding a catalogue, not code.
"""

from servicedesk.words.languages import say, say_n

__all__ = ["say", "say_n"]
