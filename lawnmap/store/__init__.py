"""The site folder and the depot: facts read and saved without ever losing one."""
