"""The folder of talks: saving so that neither side's words are lost, versions, merging."""
