"""What a person enters: immutable, checked values and their files. No Qt and no physics here."""
