"""YAML as an editor has it: PyYAML's tree of nodes with YAML 1.2's core schema laid over it.

PyYAML itself follows YAML 1.1, in which `no` is false, `12:30` is 750 and `1_000` is 1000. Neither
our reader nor an editor's YAML 1.2 takes them so; therefore only the tree is PyYAML's, and what a
plain scalar is we say here: null, true and false, whole numbers, decimals, else a string. With
`strings` all but true, false and null stay strings, which is how our reader sees them.
"""
import re
import yaml

NULL = re.compile(r"(?:null|Null|NULL|~|)\Z")
TRUTH = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
WHOLE = re.compile(r"[-+]?[0-9]+\Z")
OTHER_BASE = re.compile(r"0o[0-7]+\Z|0x[0-9a-fA-F]+\Z")
DECIMAL = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?\Z")


def tree(text):
    """The nodes, with their places in the text."""
    return yaml.compose(text, Loader=yaml.BaseLoader)


def scalar(node, strings=False):
    text = node.value
    if node.style is not None:
        return text
    if NULL.match(text):
        return None
    if text in TRUTH:
        return TRUTH[text]
    if strings:
        return text
    if WHOLE.match(text):
        return int(text)
    if OTHER_BASE.match(text):
        return int(text, 0)
    if DECIMAL.match(text):
        return float(text)
    return text


def value(node, strings=False):
    if isinstance(node, yaml.MappingNode):
        return {key.value: value(item, strings) for key, item in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [value(item, strings) for item in node.value]
    return scalar(node, strings)


def load(text, strings=False):
    node = tree(text)
    return None if node is None else value(node, strings)
