"""What goes in and comes out of ``lab.exchange``."""

from stainbook.work.lab.exchange import ImportChoices as ImportChoices
from stainbook.work.lab.exchange_desk import KINDS as KINDS
from stainbook.work.lab.exchange_desk import MOST_MB as MOST_MB
from stainbook.work.lab.exchange_desk import TAKEN as TAKEN
from stainbook.work.lab.exchange_desk import ImportChoice as ImportChoice
from stainbook.work.lab.exchange_desk import book_name as book_name
from stainbook.work.lab.exchange_desk import can_rename as can_rename
from stainbook.work.lab.exchange_desk import safe_name as safe_name
