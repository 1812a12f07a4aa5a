"""The menus, their words and the texts of Help."""
