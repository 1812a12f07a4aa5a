"""Makes the Debian package and the archive for any Linux; carried out by packaging/build."""
