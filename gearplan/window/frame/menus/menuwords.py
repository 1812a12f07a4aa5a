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
LOOKS = {
    "system": "Appearance: s&ystem",
    "light": "Appearance: &light",
    "dark": "Appearance: &dark",
    "contrast": "Appearance: high &contrast",
}
SIZES = {
    "80 %": "&80 %",
    "90 %": "&90 %",
    "100 %": "&100 %, the usual",
    "125 %": "1&25 %",
    "150 %": "1&50 %",
    "175 %": "1&75 %",
    "200 %": "20&0 %",
    "250 %": "250 %, the &largest",
}
