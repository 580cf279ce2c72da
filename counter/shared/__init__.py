"""What every way in shares: settings, places on this machine, the make on the table.

Knows no screen and no command line. Doors: `work.open_work`, `settings.load`, `places.open_store`.
"""
