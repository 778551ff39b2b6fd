// A shared object that is no plugin.
extern "C" int something_else();
extern "C" int something_else() { return 0; }
