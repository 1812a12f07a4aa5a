"""What is kept with a bike in its file: fitting jobs and their cards, proposals, rides."""
