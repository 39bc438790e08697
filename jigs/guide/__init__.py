"""The guides for users: Markdown files that the terminal and the page show, and that read well as they are."""
