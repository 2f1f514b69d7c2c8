package scenarios

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"faultloom/sim/fault"
)

// A sealed fault stands in an exercise file so that nobody reads it in passing: not in the file, not in what the commands say of it,
// not by decoding it as text. It is no lock: the program that simulates the fault must be able to open the seal, so whoever takes
// the program's source to it can as well.

// sealLength is the length of what is sealed, in bytes: all seals are alike, however long the fault's name.
const sealLength = 192

// errSeal says that a seal is not one of this exercise.
var errSeal = errors.New("the seal is broken, or of another exercise: its id must stay as it was drawn")

// Seal hides the faults of the exercise of that id for its file. It returns an error for faults whose names are too long.
func Seal(id string, faults []fault.Fault) (string, error) {
	var names []string
	for _, f := range faults {
		names = append(names, f.String())
	}
	text := strings.Join(names, "\n")
	if len(text) >= sealLength {
		return "", fmt.Errorf("faults of %d letters are too long for a seal; %d fit", len(text), sealLength-1)
	}
	plain := make([]byte, sealLength)
	copy(plain, text)
	// The nonce follows from what is sealed, so that the same draw makes the same file.
	nonce := sha256.Sum256(append([]byte("nonce of "+id+"\x00"), plain...))
	box := sealBox(id)
	n := box.NonceSize()
	return base64.RawURLEncoding.EncodeToString(box.Seal(nonce[:n:n], nonce[:n], plain, nil)), nil
}

// unseal returns the faults that were sealed for an exercise.
func unseal(id, seal string) ([]fault.Fault, error) {
	data, err := base64.RawURLEncoding.DecodeString(seal)
	box := sealBox(id)
	n := box.NonceSize()
	if err != nil || len(data) < n {
		return nil, errSeal
	}
	plain, err := box.Open(nil, data[:n], data[n:], nil)
	if err != nil {
		return nil, errSeal
	}
	var out []fault.Fault
	for _, name := range strings.Split(strings.TrimRight(string(plain), "\x00"), "\n") {
		f, err := fault.Parse(name)
		if err != nil {
			return nil, errSeal
		}
		out = append(out, f)
	}
	return out, nil
}

func sealBox(id string) cipher.AEAD {
	key := sha256.Sum256([]byte("sealed fault of exercise " + id))
	block, err := aes.NewCipher(key[:])
	if err == nil {
		var box cipher.AEAD
		if box, err = cipher.NewGCM(block); err == nil {
			return box
		}
	}
	panic("scenarios: seal: " + err.Error()) // a key of 32 bytes always does
}
