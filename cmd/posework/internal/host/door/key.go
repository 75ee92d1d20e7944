package door

import (
	"crypto/ed25519"
	"crypto/rand"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/crypto/ssh"
)

// Key reads the host's key, which is made the first time: ed25519, in a file
// that its owner alone may read. Clients remember the key, so it must not be lost.
func Key(file string) (ssh.Signer, error) {
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		if err := makeKey(file); err != nil {
			return nil, fmt.Errorf("make the host key: %w", err)
		}
		data, err = os.ReadFile(file)
	}
	if err != nil {
		return nil, fmt.Errorf("read the host key: %w", err)
	}
	if info, err := os.Stat(file); err != nil {
		return nil, fmt.Errorf("read the host key: %w", err)
	} else if info.Mode().Perm()&0o077 != 0 && keepsModes {
		return nil, fmt.Errorf("the host key %s may be read by others (mode %04o); make it private: chmod 600 %s", file, info.Mode().Perm(), file)
	}
	signer, err := ssh.ParsePrivateKey(data)
	if err != nil {
		return nil, fmt.Errorf("the host key %s is damaged (%w); put it back from a copy, or remove it, and a new one is made that every client has to accept anew", file, err)
	}
	return signer, nil
}

// makeKey writes a new key, whole or not at all. Of two programs that make it at
// the same moment, the first one's stays.
func makeKey(file string) error {
	_, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return err
	}
	block, err := ssh.MarshalPrivateKey(private, "posework host")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(file), ".host-key-*") // mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(pem.EncodeToMemory(block))
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Link(f.Name(), file); err != nil && !errors.Is(err, fs.ErrExist) {
		return os.Rename(f.Name(), file) // a file system without links
	}
	return nil
}
