"""The words of the View menu: what is chosen there, each entry under a letter or figure of its own."""

from gearplan.language import tr

PAGES = {
    "Bike": tr("&Bike"),
    "Speed": tr("&Speed"),
    "Chain": tr("&Chain"),
    "Pull": tr("&Pull"),
    "Circuit": tr("C&ircuit"),
    "Choices": tr("Ch&oices"),
    "Customer": tr("C&ustomer"),
    "Quote": tr("&Quote"),
    "Fitting": tr("&Fitting"),
    "Ride log": tr("&Ride log"),
    "All bikes": tr("&All bikes"),
}
#: The digits in the order of the pages as they came; a page between them has a letter.
PAGE_KEYS = {"Quote": "Ctrl+T"} | {
    name: tr("Ctrl+{number}", number=number % 10) for number, name in enumerate((n for n in PAGES if n != "Quote"), 1)
}
UNITS = {"km/h": tr("Speeds in &km/h"), "mph": tr("Speeds in &mph")}
LOOKS = {
    "system": tr("Appearance: s&ystem"),
    "light": tr("Appearance: &light"),
    "dark": tr("Appearance: &dark"),
    "contrast": tr("Appearance: high &contrast"),
}
SIZES = {
    "80 %": "&80 %",
    "90 %": "&90 %",
    "100 %": tr("&100 %, the usual"),
    "125 %": "1&25 %",
    "150 %": "1&50 %",
    "175 %": "1&75 %",
    "200 %": "20&0 %",
    "250 %": tr("250 %, the &largest"),
}
