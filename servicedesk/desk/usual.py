"""What a command line offers when nobody says otherwise, known before anything is loaded."""

PLAN_WEEKS = 6
PLAN_SECONDS = 10.0
SQUEEZE_DAYS = 5
VISIT_KINDS = ("inspection", "repair", "installation", "start-up", "pump-out", "sale", "estimate")
HISTORY_FOR = ("us", "owner")
REPORT_WAYS = ("email", "letter", "paper", "in person", "own form")
DEADLINE_KINDS = (
    "report",
    "corrected report",
    "contract",
    "notice",
    "sample",
    "license",
    "promise",
    "window",
)
