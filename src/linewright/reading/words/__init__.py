"""What single words of a talk may mean on a board, misheard ones included."""
