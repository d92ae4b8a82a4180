"""What the shop keeps: jobs and parts shelves, every revision of them, and backups.

store    Shop: list, create, open, save, undo, copy, name, delete
rows     what comes back: Kept, Entry, Revision
errors   Stale, NotKept
tables   the tables, and how a database is opened
queries  what is asked of them within one transaction
limits   sizes and characters of what may be kept
backup   back_up, put_back
merge    merge: two people's changes to one job, field by field
"""

from shroudwright.shop.backup import back_up, put_back
from shroudwright.shop.errors import NotKept, Stale
from shroudwright.shop.merge import Clash, Merged, merge
from shroudwright.shop.rows import Entry, Kept, Revision
from shroudwright.shop.store import Shop

__all__ = ["Clash", "Entry", "Kept", "Merged", "NotKept", "Revision", "Shop", "Stale", "back_up", "merge", "put_back"]
