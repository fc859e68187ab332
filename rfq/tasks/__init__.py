"""One function per thing a user does; the only place where reading, computing and writing meet."""
