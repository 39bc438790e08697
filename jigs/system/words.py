"""What this room says of files, folders and processes."""

from jigs.faults import Option, Says

OTHER_FOLDER = ("name another folder with ", Option("out"))


def folder_in_place() -> Says:
    """A folder that has a file's name."""
    return Says("a folder has this file's name", OTHER_FOLDER, "file-name-is-folder")


def unwritable(reason: str) -> Says:
    """A folder that the system does not let us write."""
    return Says(f"this folder cannot be written ({reason})", OTHER_FOLDER, "folder-unwritable")


def anothers_file() -> Says:
    """A file of the user's in the place of one that is to be written."""
    return Says("jigs did not write this file, so it stays", ("rename it, or ", *OTHER_FOLDER), "file-of-others")


def not_replaceable(reason: str) -> Says:
    """A file that the system does not let us replace, most likely because another program has it open."""
    remedy = ("close it in the program that shows it, or ", *OTHER_FOLDER)
    return Says(f"this file cannot be replaced ({reason})", remedy, "file-not-replaceable")


NOT_A_FILE = "not a regular file"


def file_unwritable(reason: str) -> Says:
    """A file of the user's that the system does not let us write."""
    return Says(
        f"this file cannot be written ({reason})",
        "it is as it was; check its permissions and the disk",
        "file-unwritable",
    )


def no_home() -> Says:
    """A user without a home folder, as in some containers."""
    return Says("this user has no home folder to keep anything in", "set HOME to a folder of your own", "no-home")


def no_number_of_processes(text: str, most: int) -> Says:
    """Something else where a number of processes is meant."""
    remedy = (f"write 1 to {most}, or remove ", Option("jobs"))
    return Says(f'"{text}" is not a number of processes', remedy, "jobs-out-of-range")
