"""`seamslate doctor`: looks whether all is well, and says what to do where it is not."""
