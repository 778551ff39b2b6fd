// Does nothing, linked with the libraries of the daemon or of the figures: what the start of any
// such program costs.
int main() { return 0; }
