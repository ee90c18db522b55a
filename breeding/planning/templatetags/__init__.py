"""What planning says in its templates beside the filters everybody has."""
