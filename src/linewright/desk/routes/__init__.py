"""The desk's addresses: pages, uploads, sockets."""
