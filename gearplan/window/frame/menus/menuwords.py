"""The words of the View menu: what is chosen there, each entry under a letter or figure of its own."""

PAGES = {
    "Bike": "&Bike",
    "Speed": "&Speed",
    "Chain": "&Chain",
    "Pull": "&Pull",
    "Circuit": "C&ircuit",
    "Choices": "Ch&oices",
    "Customer": "C&ustomer",
    "Quote": "&Quote",
    "Fitting": "&Fitting",
    "Ride log": "&Ride log",
    "All bikes": "&All bikes",
}
#: The digits in the order of the pages as they came; a page between them has a letter.
PAGE_KEYS = {"Quote": "Ctrl+T"} | {
    name: f"Ctrl+{number % 10}" for number, name in enumerate((n for n in PAGES if n != "Quote"), 1)
}
UNITS = {"km/h": "Speeds in &km/h", "mph": "Speeds in &mph"}
LOOKS = {"system": "Appearance: s&ystem", "light": "Appearance: &light", "dark": "Appearance: &dark"}
SIZES = {
    "100 %": "Text size &100 %",
    "125 %": "Text size 12&5 %",
    "150 %": "Text size 15&0 %",
    "200 %": "Text size &200 %",
}
