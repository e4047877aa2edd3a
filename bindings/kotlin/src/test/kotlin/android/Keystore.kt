// As much of Android's classes as `KeystoreKeeper` uses, and a keystore of this process under the name of
// Android's.
package android.security.keystore

import java.io.InputStream
import java.io.OutputStream
import java.security.InvalidKeyException
import java.security.Key
import java.security.KeyStoreSpi
import java.security.Provider
import java.security.SecureRandom
import java.security.cert.Certificate
import java.security.spec.AlgorithmParameterSpec
import java.util.Collections
import java.util.Date
import java.util.Enumeration
import javax.crypto.KeyGeneratorSpi
import javax.crypto.SecretKey
import javax.crypto.spec.SecretKeySpec

class KeyPermanentlyInvalidatedException : InvalidKeyException("a new fingerprint was enrolled")

class UserNotAuthenticatedException : InvalidKeyException("locked")

object KeyProperties {
    const val PURPOSE_ENCRYPT = 1
    const val PURPOSE_DECRYPT = 2
    const val KEY_ALGORITHM_AES = "AES"
    const val BLOCK_MODE_GCM = "GCM"
    const val ENCRYPTION_PADDING_NONE = "NoPadding"
}

class KeyGenParameterSpec private constructor(val name: String, val bits: Int) : AlgorithmParameterSpec {
    @Suppress("unused", "UNUSED_PARAMETER")
    class Builder(private val name: String, purposes: Int) {
        private var bits = 0

        fun setBlockModes(vararg modes: String) = this

        fun setEncryptionPaddings(vararg paddings: String) = this

        fun setKeySize(bits: Int) = apply { this.bits = bits }

        fun build() = KeyGenParameterSpec(name, bits)
    }
}

/** The keys of this process, and what using one of them throws. */
object StandIn : Provider("AndroidKeyStore", "1", "stands in for Android's keystore") {
    val held = mutableMapOf<String, SecretKey>()
    var refuses: Exception? = null

    init {
        put("KeyStore.AndroidKeyStore", Keys::class.java.name)
        put("KeyGenerator.AES", Keygen::class.java.name)
    }

    private fun readResolve(): Any = StandIn
}

private class Guarded(private val key: SecretKey) : SecretKey {
    override fun getAlgorithm(): String = key.algorithm

    override fun getFormat(): String = key.format

    override fun getEncoded(): ByteArray = StandIn.refuses?.let { throw it } ?: key.encoded
}

class Keygen : KeyGeneratorSpi() {
    private lateinit var spec: KeyGenParameterSpec

    override fun engineInit(random: SecureRandom) = Unit

    override fun engineInit(params: AlgorithmParameterSpec, random: SecureRandom?) {
        spec = params as KeyGenParameterSpec
    }

    override fun engineInit(bits: Int, random: SecureRandom) = Unit

    override fun engineGenerateKey(): SecretKey {
        val key = Guarded(SecretKeySpec(ByteArray(spec.bits / 8).also(SecureRandom()::nextBytes), "AES"))
        StandIn.held[spec.name] = key
        return key
    }
}

class Keys : KeyStoreSpi() {
    override fun engineGetKey(alias: String, password: CharArray?): Key? = StandIn.held[alias]

    override fun engineLoad(stream: InputStream?, password: CharArray?) = Unit

    override fun engineGetCertificateChain(alias: String): Array<Certificate>? = null

    override fun engineGetCertificate(alias: String): Certificate? = null

    override fun engineGetCreationDate(alias: String): Date? = null

    override fun engineSetKeyEntry(a: String, k: Key, p: CharArray?, c: Array<Certificate>?) = Unit

    override fun engineSetKeyEntry(a: String, k: ByteArray, c: Array<Certificate>?) = Unit

    override fun engineSetCertificateEntry(alias: String, cert: Certificate) = Unit

    override fun engineDeleteEntry(alias: String) = Unit

    override fun engineAliases(): Enumeration<String> = Collections.enumeration(StandIn.held.keys)

    override fun engineContainsAlias(alias: String) = alias in StandIn.held

    override fun engineSize() = StandIn.held.size

    override fun engineIsKeyEntry(alias: String) = alias in StandIn.held

    override fun engineIsCertificateEntry(alias: String) = false

    override fun engineGetCertificateAlias(cert: Certificate): String? = null

    override fun engineStore(stream: OutputStream?, password: CharArray?) = Unit
}
