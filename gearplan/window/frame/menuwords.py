"""The words of the View menu: what is chosen there, each entry under a letter or figure of its own."""

PAGES = {
    "Bike": "&Bike",
    "Speed": "&Speed",
    "Chain": "&Chain",
    "Pull": "&Pull",
    "Circuit": "C&ircuit",
    "Choices": "Ch&oices",
    "Customer": "C&ustomer",
    "Fitting": "&Fitting",
    "Ride log": "&Ride log",
    "All bikes": "&All bikes",
}
UNITS = {"km/h": "Speeds in &km/h", "mph": "Speeds in &mph"}
LOOKS = {"system": "Appearance: s&ystem", "light": "Appearance: &light", "dark": "Appearance: &dark"}
SIZES = {
    "100 %": "Text size &100 %",
    "125 %": "Text size 12&5 %",
    "150 %": "Text size 15&0 %",
    "200 %": "Text size &200 %",
}
