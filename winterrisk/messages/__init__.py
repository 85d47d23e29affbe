"""Messages: who is told what and when; each content once to each person, kept until it arrives.

| file | holds |
|---|---|
| message | one message to one person, with the instants from which and until which it may go |
| told | what the people were told so far |
| wanted | all messages of a night |
| contacts, quiet_hours | who is told first, who second; when a person may be disturbed |
| verdicts, notices | plugs to read; covers, spring, drying, notes not understood |
| unanswered, answers | calls nobody answered; what counts as an answer |
| digest, scoreboard | the weekly words; what came of the calls |
| write_outbox | outbox.sqlite: every message is written before it is sent |
| send_message, send_waiting | one message on its way; all that wait |
"""

from winterrisk.messages.send_waiting import Post, send_messages, send_waiting
from winterrisk.messages.write_outbox import Kept, Outbox, OutboxError, has_outbox, open_outbox

__all__ = [
    "Kept",
    "Outbox",
    "OutboxError",
    "Post",
    "has_outbox",
    "open_outbox",
    "send_messages",
    "send_waiting",
]
