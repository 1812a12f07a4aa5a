"""What a screen reader gets of the window, read through the desktop's accessibility bus; see __main__."""
