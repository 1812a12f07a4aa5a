"""Tables of ready texts: head, cells, what is copied of them."""
