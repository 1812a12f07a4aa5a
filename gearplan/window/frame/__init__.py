"""The window round the pages: start, menus, set bar, files, recovery, settings, messages."""
