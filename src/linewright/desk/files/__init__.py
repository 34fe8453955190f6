"""The folder of talks: saving so that neither side's words are lost, earlier versions, two texts brought together.

The door is :class:`linewright.desk.files.folder.Folder`; no other part of the desk makes a path of a page's name.
"""
