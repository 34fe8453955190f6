"""The starter table: replies counted beforehand, for where the user has no base yet."""
