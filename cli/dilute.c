int command_dilute(int, const char **);
int command_dilute(int argc, const char **argv) {
    (void)argc;
    (void)argv;
    return 0;
}
