"""The ledger: which case was changed how, what was issued to whom, and which copy counts.

Importing any part of this package sets Django up for the embedded database. The parts: `ledger` opens the
file, `models` and `guards` say what a row is and that none is ever changed, `actions` has one function for
each verb that writes, `access` is the one place of reading, `asked` answers what people ask.
"""

import os

import django
from django.apps import apps

os.environ["DJANGO_SETTINGS_MODULE"] = "provand.workspace.settings"
if not apps.ready:
    django.setup()
