// Does nothing, linked with the libraries of the daemon: what the start of any such program costs.
int main() { return 0; }
