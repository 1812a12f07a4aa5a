"""Charts that pages share: the plots themselves, their pens and labels."""
